package commands

import (
	"fmt"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
	"holdbench/internal/trade"
)

// viewer is who an answer is for, and on which day: it shows their own tests apart, and says how old the tests are.
type viewer struct {
	ref   string
	today string // 2006-01-02, where the group is
}

// viewer is the asker of a request.
func (c *Call) viewer() viewer { return viewer{c.Asker.Ref, c.today()} }

// holdCard shows what the group knows of a combination.
func holdCard(e *knowledge.Evidence, o outlook, v viewer) Card {
	c := Card{Title: setupTitle(e), Untested: !e.Tested}
	if e.Tested {
		testedLines(&c, e, o, v)
	} else {
		untestedLines(&c, e, o)
	}
	first, _ := askNext(e)
	c.Actions = append(first, toAskAbout("more", holdName, e.Combination).with(moreOption, "yes"))
	holdWarnings(&c, e, o)
	c.sayBehind(e)
	c.markRenewable(e)
	c.Figures = holdFigures(e, o)
	return c
}

// setupTitle names a combination with its wall class, on which its figures depend, and with the pull where it is not
// the usual one.
func setupTitle(e *knowledge.Evidence) string {
	i, title := e.Combination.Instrument, stockWords(e.Combination)
	switch {
	case i.Wall == calc.AssumedWall: // any other is part of the name
		title += ", " + string(i.Wall) + " wall"
	case e.AssumedWall:
		title += ", wall class not on record"
	}
	if e.Pull != calc.DefaultPull {
		title += ", pull " + pullWords(e.Pull)
	}
	return title
}

// testedLines says the hold or why there is none, what that is based on, the share by the time asked, the tests, the
// estimate, and what would settle it.
func testedLines(c *Card, e *knowledge.Evidence, o outlook, v viewer) {
	c.Verdict = headline(e)
	c.line("%s", say.StandsOn(round3(e.Pull.Millilitres()), e.Advice))
	verb, label := "show", "Estimate"
	if belowLeast(e) {
		verb, label = "would show", "Calculated, not advice"
	}
	askedLine(c, o, verb)
	c.fact("Tests", "%s", testsLine(e))
	c.fact("Yours", "%s", ownTests(e.Tests, v.ref))
	if e.State == calc.StateHold { // the hold itself says the share by then
		c.fact(label, "%s", timesLine(o))
	} else {
		c.fact(label, "%s", estimateLine(o, verb))
	}
	switch {
	case e.State == calc.StateNotSettled:
		c.line("%s", settleLine(e))
	case e.State == calc.StateNotSureEnough && !say.TestsShort(e.Advice, e.Rule):
		c.line("More tests can make it sure.")
	}
	c.line("%s", oldTests(e.Tests, v.today))
}

// belowLeast reports whether the tests are fewer than the group requires: then the figures are worded like those of an
// untested combination.
func belowLeast(e *knowledge.Evidence) bool {
	switch e.State {
	case calc.StatePullNotTested, calc.StateTooFewTests, calc.StateTooFewMembers:
		return true
	}
	return false
}

// headline is what an answer begins with.
func headline(e *knowledge.Evidence) string { return say.Headline(e.State, e.Advice, e.Rule) }

// holdSeconds is the hold, nil where none is advised.
func holdSeconds(e *knowledge.Evidence) *int {
	if e.State != calc.StateHold {
		return nil
	}
	return &e.Advice.Seconds
}

// askedLine says what share shows by the time the asker named. The tool does not say whether that is enough.
func askedLine(c *Card, o outlook, verb string) {
	if o.asked {
		c.fact("By "+exactSeconds(float64(o.byAsked.By))+", as you asked", "%s", showing(o.byAsked, verb))
	}
}

// showing is a share with its range.
func showing(s calc.Share, verb string) string {
	return shareWords(s.Mean) + " " + verb + rangeWords(s.Low, s.High)
}

// estimateLine is the estimate with its range. It leaves out the share by the ceiling where the asker named that very
// time, because askedLine has said it.
func estimateLine(o outlook, verb string) string {
	times := timesLine(o)
	if o.asked && o.byAsked.By == o.byCeiling.By {
		return times
	}
	return fmt.Sprintf("by %s %s; %s", exactSeconds(float64(o.byCeiling.By)), showing(o.byCeiling, verb), times)
}

// timesLine says by when half and when 9 in 10 have shown.
func timesLine(o outlook) string {
	switch {
	case late(o.half):
		return "fewer than half within " + exactSeconds(longestTold)
	case late(o.most):
		return fmt.Sprintf("half by %s, 9 in 10 not within %s", secondsWords(o.half), exactSeconds(longestTold))
	}
	return fmt.Sprintf("half by %s, 9 in 10 by %s", secondsWords(o.half), secondsWords(o.most))
}

func pullWords(pull calc.Volume) string { return trimNumber(round3(pull.Millilitres())) + " mL" }

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
