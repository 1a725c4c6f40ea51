package commands

import (
	"fmt"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// holdWarnings: assumed wall class, flagged tests, tests against estimate, tests
// by one hand, a pull beyond those tested, stock, the bench liquid.
func holdWarnings(c *Card, e *knowledge.Evidence, o outlook) {
	if line := wallLine(e); line != "" {
		c.warn("%s", line)
	}
	if e.State == calc.StateUnlikeTheOthers || e.State == calc.StateUnlikeItsClass {
		c.warn("%s", unlikeLine(e))
	}
	if len(e.Flagged) > 0 {
		c.warn("%s", flaggedLine(e.Flagged))
	}
	if e.Tested && e.Surprise < calc.DisagreeBelow {
		c.warn("Tests and estimate disagree more than chance would (%d of %d shown by %s): put the tests first.",
			e.Counts.ShownByCeiling, e.Counts.Run, exactSeconds(float64(e.Ceiling)))
	}
	if line := oneHandLine(e); line != "" {
		c.warn("%s", line)
	}
	if least, most := pulls(e.Tests); e.Tested && (e.Pull.Millilitres() < least-1e-9 || e.Pull.Millilitres() > most+1e-9) {
		c.warn("No test was made at a pull of %s: the estimate reaches beyond the tests.", pullWords(e.Pull))
	}
	if e.Holders == 0 {
		c.warn("Nobody in the group has %s in stock, as far as it is on record.", e.Combination.Product.Name)
	}
	if !milkIsFair(e, o) {
		c.warn("The gel is so thin here that the liquid behind it counts too: milk is no fair stand-in for blood.")
	}
}

// wallLine says what a look at the box would settle where the wall class is not on
// record: what the share by the ceiling would be with each class.
func wallLine(e *knowledge.Evidence) string {
	var each []string
	for _, w := range e.Forecast.Walls() {
		each = append(each, shareWords(w.Forecast.Share(e.Ceiling).Mean)+" with "+string(w.Wall)+" wall")
	}
	if len(each) == 0 {
		return ""
	}
	return "The wall class of this " + string(e.Combination.Instrument.Kind) + " is not on record; the box says it. By " +
		exactSeconds(float64(e.Ceiling)) + " " + strings.Join(each, ", ") + "."
}

// unlikeLine says what may be behind a set-up that is unlike the others, and what
// lifts it.
func unlikeLine(e *knowledge.Evidence) string {
	what := "The name, the wall class or the lot may not be what the log says."
	if e.State == calc.StateUnlikeItsClass {
		what = "The gel class, the wall class or the name on record may be wrong."
	}
	return what + " A trainer looks at the box and the films; /" + checkedName + " says that it is as logged."
}

// fewestOfOneHand is from how many tests by one member it is said that one made all.
const fewestOfOneHand = 2

// oneHandLine says that one member made all tests of the combination, or else of the
// gel, whose untested combinations they bear on, too. "" where it does not bear.
func oneHandLine(e *knowledge.Evidence) string {
	const sure = " are by one pair of hands; another's may take longer."
	switch {
	case e.Tested && e.Counts.Testers == 1 && e.Counts.Run >= fewestOfOneHand:
		return testsOfOneHand(e.Counts.Run) + sure
	case e.ProductTesters == 1 && e.ProductTests >= fewestOfOneHand:
		return testsOfOneHand(e.ProductTests) + " of " + e.Combination.Product.Name + sure
	}
	return ""
}

func testsOfOneHand(n int) string {
	if n == 2 {
		return "Both tests"
	}
	return fmt.Sprintf("All %d tests", n)
}

// mostFlaggedNamed is how many flagged tests are named one by one.
const mostFlaggedNamed = 3

// flaggedLine says which tests look wrong: a time may be mistyped, a none is not.
func flaggedLine(tests []knowledge.BenchTest) string {
	var times, nones []string
	for _, t := range tests {
		if t.Outcome == knowledge.None {
			nones = append(nones, resultWords(t)+", "+t.TestedOn)
		} else {
			times = append(times, resultWords(t)+", "+t.TestedOn)
		}
	}
	var lines []string
	if len(times) > 0 {
		lines = append(lines, flaggedWords(times, " looks mistyped", " look mistyped")+".")
	}
	if len(nones) > 0 {
		lines = append(lines, flaggedWords(nones, " does not fit the others", " do not fit the others")+": look at the film.")
	}
	counts := "It counts for little in the estimate, but in full against a hold."
	if len(tests) > 1 {
		counts = "They count for little in the estimate, but in full against a hold."
	}
	return strings.Join(append(lines, counts), " ")
}

func flaggedWords(each []string, one, more string) string {
	n := len(each)
	if n > mostFlaggedNamed {
		each = append(each[:mostFlaggedNamed:mostFlaggedNamed], "…")
	}
	words, ends := count(n, "test")+" ("+strings.Join(each, "; ")+")", more
	if n == 1 {
		ends = one
	}
	return words + ends
}
