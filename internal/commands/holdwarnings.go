package commands

import (
	"fmt"
	"strings"

	"holdbench/internal/knowledge"
)

// surprising is the predictive probability below which tests and estimate
// disagree (the group's convention, no source).
const surprising = 0.01

// holdWarnings: assumed wall class, flagged tests, tests against estimate, tests
// by one hand, a pull beyond those tested, stock, the bench liquid.
func holdWarnings(c *Card, e *knowledge.Evidence, o outlook) {
	if e.AssumedWall {
		c.warn("No wall class is on record for this %s: thin wall was assumed, another changes the figures.", e.Combination.Instrument.Kind)
	}
	if len(e.Flagged) > 0 {
		c.warn("%s", flaggedLine(e.Flagged))
	}
	if e.Tested && e.Surprise < surprising {
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

// fewestOfOneHand is from how many tests by one member the range comes out too
// narrow: the estimate takes them for the tests of so many hands. Of one test the
// hand is as open as it is taken to be.
const fewestOfOneHand = 2

// oneHandLine says that one member made all tests of the combination, or else of the
// gel: then the range is too narrow, for an untested combination of it too. "" where
// it does not bear.
func oneHandLine(e *knowledge.Evidence) string {
	const sure = " are by one hand. Hands differ a little, so the range may be too narrow until a second member tests it."
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

func flaggedLine(tests []knowledge.BenchTest) string {
	var each []string
	for _, t := range tests[:min(len(tests), mostFlaggedNamed)] {
		each = append(each, resultWords(t)+", "+t.TestedOn)
	}
	if len(tests) == 1 {
		return "One test (" + each[0] + ") looks like a slip of the pen; it was given little weight."
	}
	if len(tests) > mostFlaggedNamed {
		each = append(each, "…")
	}
	return fmt.Sprintf("%d tests (%s) look like slips of the pen; they were given little weight.", len(tests), strings.Join(each, "; "))
}
