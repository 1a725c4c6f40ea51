package knowledge

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbench/internal/calc"
)

// TesterStanding is how a tester's times compare with those of the others on the same
// combinations.
type TesterStanding struct {
	Member           Member
	Tests            int     // kept tests that showed, on combinations that others tested too
	Combinations     int     // those combinations
	Ratio, Low, High float64 // own times over the others', with limits; 0 if there is too little to compare
	Differs          bool    // the limits exclude 1, and there are enough tests and combinations
}

// A tester differs if the 99 % limits exclude 1 and there are at least so many tests and
// combinations (project's choice, no source).
const (
	TesterConfidence  = 0.99
	testerZ           = 2.5758293 // normal quantile of (1 + TesterConfidence)/2
	fewestTesterTests = 5
	fewestTesterCombs = 2
)

// Testers compares every tester with the others, in the order admitted: ln time against the
// mean of the others on each combination and pull. The weights follow from the group's own
// repeatability and the scatter between hands. Tests without a flashback and flagged tests
// are left out. Ratio is 0 for a member who tested nothing that others did, and for everybody
// while no test was repeated. It first brings the estimates up to date, for the flags.
//
// Of testers whose hand is like the others', 1 to 4 in 100 are said to differ; the less a
// hand is the same from one combination to the next, the more (TestTestersAreRarelyWronged).
func (g *Group) Testers(ctx context.Context) (compared []TesterStanding, err error) {
	defer wrap(&err, "testers")
	if err := g.bringUpToDate(ctx, goBy); err != nil {
		return nil, err
	}
	var members []Member
	var tests []BenchTest
	err = g.store.snapshot(ctx, func(q querier) error {
		if members, err = g.members(ctx, q); err != nil {
			return err
		}
		tests, err = g.readTests(ctx, q, keptByPull, g.id)
		return err
	})
	if err != nil {
		return nil, err
	}
	return standings(members, withoutSlips(tests))
}

// withoutSlips leaves out the flagged tests.
func withoutSlips(tests []BenchTest) []BenchTest {
	return slices.DeleteFunc(tests, func(t BenchTest) bool { return t.Slip > flaggedAbove })
}

// keptByPull selects a community's kept tests, those of one combination and pull together.
const keptByPull = `
	t.community_id = ? AND t.state = 'kept'
	ORDER BY t.product_id, t.instrument_id, t.syringe_id, t.pull_ml, t.id`

// standings compares the testers by tests sorted by combination and pull: half the pull can
// double a time, whatever the hand.
func standings(members []Member, tests []BenchTest) (compared []TesterStanding, err error) {
	tests = timed(tests)
	spread, err := handSpread(tests, false)
	if err != nil {
		return nil, err
	}
	found := compareAll(tests, func(t BenchTest) int64 { return t.Tester.ID }, true, spread)
	for _, m := range members {
		compared = append(compared, found[m.ID].standing(m))
	}
	return compared, nil
}

// timed returns the tests with a time to compare.
func timed(tests []BenchTest) []BenchTest {
	return slices.DeleteFunc(slices.Clone(tests), func(t BenchTest) bool {
		return t.Outcome != Flashback || !(t.Seconds > 0)
	})
}

// shouldAgree reports whether two tests are of one combination with one pull.
func shouldAgree(a, b BenchTest) bool {
	return keyOf(a.Combination) == keyOf(b.Combination) && a.PullML == b.PullML
}

// repeatsOf returns tests as the analysis of variance takes them. Another pull makes another
// combination for it, and with byLot another lot too.
func repeatsOf(tests []BenchTest, byLot bool) []calc.Repeat {
	repeats := make([]calc.Repeat, len(tests))
	for i, t := range tests {
		time := calc.Seconds(t.Seconds)
		if t.Outcome != Flashback {
			time = calc.Seconds(math.Inf(1))
		}
		k := keyOf(t.Combination)
		lot := ""
		if byLot {
			lot = t.Lot.Number
		}
		repeats[i] = calc.Repeat{
			Combination: fmt.Sprintf("%d/%d/%d %g mL %s", k.product, k.instrument, k.syringe, t.PullML, lot),
			Tester:      t.Tester.Ref, Time: time,
		}
	}
	return repeats
}

// spreads are standard deviations of ln time: among a tester's repeats, and between hands.
type spreads struct{ repeats, hand float64 }

// handSpread returns the group's own spreads, 0 if nobody repeated a test.
func handSpread(tests []BenchTest, byLot bool) (s spreads, err error) {
	measured, err := calc.MeasureSpread(repeatsOf(tests, byLot), TesterConfidence)
	if errors.Is(err, calc.ErrTooFewRepeats) {
		return spreads{}, nil
	}
	return spreads{measured.Repeatability.Value, measured.BetweenTesters.Value}, err
}

// standing returns how a tester compares; h is nil for one without compared tests.
func (h *differences) standing(m Member) TesterStanding {
	if h == nil {
		return TesterStanding{Member: m}
	}
	t := TesterStanding{Member: m, Tests: h.tests, Combinations: len(h.combinations)}
	t.Ratio, t.Low, t.High = h.ratio()
	enough := t.Tests >= fewestTesterTests && t.Combinations >= fewestTesterCombs
	t.Differs = enough && (t.Low > 1 || t.Ratio > 0 && t.High < 1)
	return t
}
