package commands

import (
	"fmt"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// holdWarnings warns of an assumed wall class, a set-up unlike the others, flagged tests, tests that disagree with the
// estimate, tests by one hand, a pull outside those tested, and a gel too thin for the bench liquid.
func holdWarnings(c *Card, e *knowledge.Evidence, o outlook) {
	c.warn("%s", wallLine(e))
	c.warn("%s", unlikeLine(e))
	c.warn("%s", flaggedLine(e.Flagged))
	if e.Tested && e.Surprise < calc.DisagreeBelow {
		c.warn("Tests and estimate disagree more than chance would: put the tests first.")
	}
	c.warn("%s", oneHandLine(e))
	if least, most := pulls(e.Tests); e.Tested &&
		(e.Pull.Millilitres() < least-1e-9 || e.Pull.Millilitres() > most+1e-9) {
		c.warn("Nobody tested a pull of %s: the estimate reaches beyond the tests.", pullWords(e.Pull))
	}
	if !milkIsFair(e, o) {
		c.warn("The gel is so thin here that milk is no fair stand-in for blood.")
	}
}

// wallLine says what a look at the box would settle: the share by the ceiling with the slowest wall class and with the
// fastest. It is "" where the wall class is on record.
func wallLine(e *knowledge.Evidence) string {
	walls := e.Forecast.Walls()
	if len(walls) == 0 {
		return ""
	}
	by := func(at int) string {
		w := walls[at]
		return shareWords(w.Forecast.Share(e.Ceiling).Mean) + " with " + string(w.Wall) + " wall"
	}
	return "By " + exactSeconds(float64(e.Ceiling)) + " " + by(0) + ", " + by(len(walls)-1) + ": the box says which."
}

// unlikeLine says why a set-up may be unlike the others, and what a trainer can do; "" for one that is not.
func unlikeLine(e *knowledge.Evidence) string {
	what := ""
	switch e.State {
	case calc.StateUnlikeTheOthers:
		what = "Name, wall class or lot may not be as logged"
	case calc.StateUnlikeItsClass:
		what = "Gel class, wall class or name on record may be wrong"
	default:
		return ""
	}
	return what + ": a trainer looks at box and films, then /" + checkedName + "."
}

// fewestOfOneHand is how many tests by one member alone it takes for a warning.
const fewestOfOneHand = 2

// oneHandLine says that one member made all tests of the combination, or all of the gel, on which its untested
// combinations depend too. It is "" where neither is so.
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

// flaggedLine says which tests look wrong, and how they count; "" for none. A time may be mistyped, a none cannot.
func flaggedLine(tests knowledge.TestList) string {
	if tests.Len() == 0 {
		return ""
	}
	var times []string
	nones := 0
	for t := range tests.All() {
		if t.None {
			nones++
		} else {
			times = append(times, exactSeconds(t.Told))
		}
	}
	var parts []string
	switch {
	case len(times) > mostTimesNamed:
		parts = append(parts, count(len(times), "time")+" look mistyped")
	case len(times) > 0:
		parts = append(parts, listWords(times)+oneOrMore(len(times), " looks mistyped", " look mistyped"))
	}
	if nones > 0 {
		parts = append(parts, fmt.Sprintf("%d none%s", nones, oneOrMore(nones, " does not fit the others",
			" do not fit the others")))
	}
	return strings.Join(parts, "; ") + ". " + oneOrMore(tests.Len(), "It counts", "They count") +
		" against a hold, hardly in the estimate."
}

// mostTimesNamed is how many doubtful times are named. More are only counted: the list of tests has them.
const mostTimesNamed = 3

// oneOrMore is the words for one thing or for several.
func oneOrMore(n int, one, several string) string {
	if n == 1 {
		return one
	}
	return several
}

// largeLiquidShare is the share of the time taken by the liquid behind the gel from which on a thinner bench liquid no
// longer fairly stands in for blood (the project's choice: such a share still changes a time by less than a tester's
// hand does).
const largeLiquidShare = 0.05

// milkIsFair reports whether milk fairly stands in for blood here.
func milkIsFair(e *knowledge.Evidence, o outlook) bool { return liquidShare(e, o) < largeLiquidShare }

// liquidShare estimates how much of the time until half have shown is due to the resistance of blood rather than of the
// gel, 0 to 1. It is 0 where it cannot be computed.
//
// The blood's part comes from the closed form for two Newtonian liquids, 4 μ L²/(R² Δp). For a shear-thinning gel that
// is too low by up to half, because such a gel slows down by more than the suction that the blood takes up. It is good
// enough for a warning and for nothing else.
func liquidShare(e *knowledge.Evidence, o outlook) float64 {
	suction, err := calc.Draw{Pull: e.Pull, Gas: e.Setup.Gas}.Suction()
	if err != nil {
		return 0
	}
	blood, err := calc.NewtonianExitTime(e.Setup.Tube, calc.WholeBlood, 0, suction)
	if err != nil || !(o.half > 0) {
		return 0
	}
	return min(1, float64(blood)/o.half)
}
