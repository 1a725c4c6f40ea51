package commands

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// holdCard shows what the group knows of a combination.
func holdCard(e *knowledge.Evidence, o outlook) Card {
	c := Card{Title: e.Combination.String(), Untested: !e.Tested}
	if e.Tested {
		testedLines(&c, e, o)
		c.Actions = []Action{{Label: "the tests", Request: about(testsName, e.Combination)}}
	} else {
		untestedLines(&c, e, o)
	}
	c.Actions = append(c.Actions, Action{Label: "the picture", Request: about(pictureName, e.Combination), Tap: true})
	c.Actions = append(c.Actions, afterAsking(e.Combination)...)
	c.Actions = append(c.Actions, Action{Label: "what sets the pace", Request: about(whyName, e.Combination), Tap: true})
	if !e.Tested || e.Verdict == calc.NotSettled {
		c.Actions = append(c.Actions, Action{Label: "I'll test this", Request: about(takeName, e.Combination), Tap: true})
	}
	holdWarnings(&c, e, o)
	c.standOn(e.Spread)
	c.Figures = holdFigures(e, o)
	return c
}

// testedLines: verdict and hold, the share by the time asked, the tests, the
// estimate, what would settle it.
func testedLines(c *Card, e *knowledge.Evidence, o outlook) {
	c.Verdict = verdictLine(e, o.hold)
	askedLine(c, o, "show")
	c.fact("Tests", "%s", testsLine(e))
	if line := fewTests(e); line != "" {
		c.line("%s", line)
	}
	c.fact("Estimate from all tests of the gel, pull "+pullWords(e.Pull), "%s", estimateLine(o, "show"))
	if e.Verdict == calc.NotSettled {
		c.line("%s", settleLine(e))
	}
}

// untestedLines never says a hold and never sets a verdict in capitals, so that
// it cannot pass for a tested answer.
func untestedLines(c *Card, e *knowledge.Evidence, o outlook) {
	c.Verdict = "Nobody in the group has tested this. A calculation, not a test:"
	askedLine(c, o, "would show")
	c.fact("Calculated, pull "+pullWords(e.Pull), "%s", estimateLine(o, "would show"))
	c.line("No hold can be advised before it is tested.")
	if !anyOfProduct(e) {
		c.line("%s has not been tested at all: the figures stand on its gel class alone (%s).", e.Combination.Product.Name, e.Combination.Product.Class)
	}
	for _, n := range e.Nearest {
		c.fact("Nearest tested", "%s", nearestLine(n, e.Combination))
	}
}

// askedLine says what share shows by the time the asker named. Whether that is
// enough is not for the tool to say.
func askedLine(c *Card, o outlook, verb string) {
	if o.asked {
		c.fact("By "+exactSeconds(float64(o.byAsked.By))+", as you asked", "%s", showing(o.byAsked, verb))
	}
}

// anyOfProduct reports whether the product was tested in any other set-up: if
// it was, such a set-up is among the nearest.
func anyOfProduct(e *knowledge.Evidence) bool {
	return slices.ContainsFunc(e.Nearest, func(n knowledge.Neighbour) bool {
		return n.Combination.Product.ID == e.Combination.Product.ID
	})
}

// nearestLine names a tested combination near the one asked for, without what
// the two have in common. Its hold is left out: it is not for this one.
func nearestLine(n knowledge.Neighbour, asked trade.Combination) string {
	text := n.Combination.Instrument.Name()
	if n.Combination.Product.ID != asked.Product.ID {
		text = n.Combination.Product.Name + ", " + text
	}
	return fmt.Sprintf("%s, %s: %s (%s)", text, count(n.Tests, "test"), n.Verdict, n.Why)
}

// verdictLine is the verdict and the hold, or why none can be advised. Only a
// tested combination that shows in time gets a hold.
func verdictLine(e *knowledge.Evidence, hold *int) string {
	verdict, ceiling := strings.ToUpper(string(e.Verdict)), exactSeconds(float64(e.Ceiling))
	switch e.Verdict {
	case calc.ShowsInTime:
		switch {
		case hold == nil:
			return fmt.Sprintf("%s, but no hold reaches %s of tests", verdict, shareWords(e.Target))
		case calc.Seconds(*hold) > e.Ceiling:
			return fmt.Sprintf("%s: hold %d s, over the group's ceiling of %s", verdict, *hold, ceiling)
		}
		return fmt.Sprintf("%s: hold %d s", verdict, *hold)
	case calc.ShowsSometimes:
		return verdict + ": no hold can be advised; by " + ceiling + " some show, some do not"
	case calc.TooSlow:
		return verdict + ": no hold can be advised; few show by " + ceiling + ", half or more by 30 s"
	case calc.NotExpected:
		if e.Ceiling < 30 {
			ceiling += ", not half by 30 s"
		}
		return verdict + ": no hold can be advised; few show by " + ceiling
	}
	return verdict + ": no hold can be advised yet; the tests leave it open"
}

// showing is a share with its range.
func showing(s calc.Share, verb string) string {
	return fmt.Sprintf("%s %s (%s)", shareWords(s.Mean), verb, rangeWords(s.Low, s.High))
}

// estimateLine is the estimate with its range; the share by the ceiling is left
// out where the asker named that very time and has read it already.
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

// testsLine is what the answer stands on: how many by how many, what showed.
func testsLine(e *knowledge.Evidence) string {
	n, ceiling := e.Counts, exactSeconds(float64(e.Ceiling))
	text := fmt.Sprintf("%d by %s; %d shown by %s", n.Run, count(n.Testers, "member"), n.ShownByCeiling, ceiling)
	if n.ShownLater > 0 {
		text += fmt.Sprintf(", %d later", n.ShownLater)
	}
	text += fmt.Sprintf(", %d none", n.None)
	if n.ShownByCeiling+n.ShownLater > 0 {
		text += ", longest " + exactSeconds(n.Longest)
	}
	if least, most := pulls(e.Tests); least != most {
		text += fmt.Sprintf("; pulls %s to %s mL", trimNumber(least), trimNumber(most))
	}
	return text
}

// pulls is the smallest and the largest pull of the tests, mL.
func pulls(tests []knowledge.BenchTest) (least, most float64) {
	for i, t := range tests {
		if i == 0 {
			least, most = t.PullML, t.PullML
		}
		least, most = min(least, t.PullML), max(most, t.PullML)
	}
	return least, most
}

// mostFew is up to how many tests the sentence for a small number is said; from
// there on it would speak of 1 in 10 and less.
const mostFew = 20

// fewTests is the plain sentence for a small number of tests that all ended the
// same way, "" where it does not apply.
func fewTests(e *knowledge.Evidence) string {
	n := e.Counts
	if n.Run > mostFew || n.TooShort > 0 {
		return ""
	}
	share, err := calc.CouldStillFail(n.Run, 0.95)
	if err != nil {
		return "" // no tests at all
	}
	rest := shareWords(share)
	switch {
	case n.Run == 1:
		return "A single test says little: " + rest + " of the rest could still end the other way."
	case n.ShownByCeiling == n.Run:
		return fmt.Sprintf("With %d tests, all shown, up to %s of the rest could still fail to show.", n.Run, rest)
	case n.None == n.Run:
		return fmt.Sprintf("With %d tests, none shown, up to %s of the rest could still show.", n.Run, rest)
	}
	return ""
}

// settleLine says how many more tests would likely settle the verdict.
func settleLine(e *knowledge.Evidence) string {
	more, ok := e.Forecast.MoreTests(e.Ceiling)
	if !ok {
		return "It lies near the line between two verdicts: even 99 more tests might not settle it."
	}
	return fmt.Sprintf("About %s would likely settle it.", count(more, "more test"))
}

// resultWords is the outcome of a test: the seconds as typed, or none.
func resultWords(t knowledge.BenchTest) string {
	if t.Outcome == knowledge.None {
		return "none in " + trimNumber(t.WatchedS) + " s"
	}
	if t.SecondsTyped != "" {
		return t.SecondsTyped + " s"
	}
	return trimNumber(t.Seconds) + " s"
}
