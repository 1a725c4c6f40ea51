package commands

import (
	"fmt"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
	"holdbench/internal/trade"
)

// untestedLines says what the calculation expects of a combination that nobody has tested. It never says a hold, and no
// verdict in capitals, so that nobody takes it for a tested answer.
func untestedLines(c *Card, e *knowledge.Evidence, o outlook) {
	c.Verdict = "Nobody here has tested this: no hold."
	askedLine(c, o, "would show")
	c.fact("Calculated, pull "+pullWords(e.Pull), "%s", estimateLine(o, "would show"))
	if !anyOfProduct(e) {
		c.line("%s is untested: by its class alone (%s).", e.Combination.Product.Name, e.Combination.Product.Class)
	}
	if len(e.Nearest) > 0 {
		c.fact("Nearest tested", "%s", nearestLine(e.Nearest[0], e.Combination))
	}
}

// anyOfProduct reports whether the gel was tested in any other set-up: if it was, one of those is among the nearest.
func anyOfProduct(e *knowledge.Evidence) bool {
	return slices.ContainsFunc(e.Nearest, func(n knowledge.Neighbour) bool {
		return n.Combination.Product.ID == e.Combination.Product.ID
	})
}

// nearestLine names a tested combination near the one asked about, without what the two share. It leaves out its hold,
// which is not for this one.
func nearestLine(n knowledge.Neighbour, asked trade.Combination) string {
	text := n.Combination.Instrument.Name()
	if n.Combination.Product.ID != asked.Product.ID {
		text = n.Combination.Product.Name + ", " + text
	}
	state := say.State(n.State)
	if n.State == calc.StateTooFewTests || n.State == calc.StateTooFewMembers {
		state += " at this pull"
	}
	return fmt.Sprintf("%s, %s: %s (%s)", text, count(n.Tests, "test"), state, n.Why)
}
