package knowledge

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbench/internal/calc"
)

// TesterStanding is how one tester's times compare with those of the others on
// the same combinations.
type TesterStanding struct {
	Member           Member
	Tests            int     // kept tests that showed, on combinations that others tested too
	Combinations     int     // those combinations
	Ratio, Low, High float64 // own times over the others': the middle and its limits, 0 if it cannot be told
	Differs          bool    // the limits leave 1 out, and there is enough to go by
}

// When a tester clearly differs: limits at 99 %, and no fewer tests than this
// (project's choice, no source).
const (
	TesterConfidence  = 0.99
	testerZ           = 2.5758293 // normal quantile of (1 + TesterConfidence)/2
	fewestTesterTests = 5
	fewestTesterCombs = 2
)

// Testers compares every tester with the others, in the order admitted: ln time
// against the mean of the others on each combination and pull, weighted by how
// well that is known, from the group's own repeatability and what a hand adds.
// Tests without a flashback are left out, and so are those that look like a slip
// of the pen; members who tested nothing that others did are there with a Ratio of
// 0, and so is everybody while no test was repeated.
//
// Of testers whose hand is that of the others 1 to 4 in 100 are said to differ,
// the more the less a hand is the same from one combination to the next
// (TestTestersAreRarelyWronged). It brings the estimates up to date, for the slips.
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

// withoutSlips leaves out the tests that look like a slip of the pen.
func withoutSlips(tests []BenchTest) []BenchTest {
	return slices.DeleteFunc(tests, func(t BenchTest) bool { return t.Slip > flaggedAbove })
}

// keptByPull picks a community's kept tests, those that should have agreed side
// by side.
const keptByPull = `
	t.community_id = ? AND t.state = 'kept'
	ORDER BY t.product_id, t.instrument_id, t.syringe_id, t.pull_ml, t.id`

// standings compares the testers by tests sorted by combination and pull: half
// the pull can double a time, and is no matter of the hand.
func standings(members []Member, tests []BenchTest) (compared []TesterStanding, err error) {
	tests = slices.DeleteFunc(slices.Clone(tests), func(t BenchTest) bool { return t.Outcome != Flashback || !(t.Seconds > 0) })
	spread, err := handSpread(tests)
	if err != nil {
		return nil, err
	}
	sums := make(map[int64]*handSum)
	for rest := tests; len(rest) > 0; {
		n := 1
		for n < len(rest) && shouldAgree(rest[0], rest[n]) {
			n++
		}
		compareHands(sums, rest[:n], spread)
		rest = rest[n:]
	}
	for _, m := range members {
		compared = append(compared, sums[m.ID].standing(m))
	}
	return compared, nil
}

// shouldAgree reports whether two tests are of one combination with one pull.
func shouldAgree(a, b BenchTest) bool {
	return keyOf(a.Combination) == keyOf(b.Combination) && a.PullML == b.PullML
}

// repeatsOf is tests as the analysis of variance takes them. A combination with
// another pull is another one to it.
func repeatsOf(tests []BenchTest) []calc.Repeat {
	repeats := make([]calc.Repeat, len(tests))
	for i, t := range tests {
		time := calc.Seconds(t.Seconds)
		if t.Outcome != Flashback {
			time = calc.Seconds(math.Inf(1))
		}
		k := keyOf(t.Combination)
		repeats[i] = calc.Repeat{
			Combination: fmt.Sprintf("%d/%d/%d %g mL", k.product, k.instrument, k.syringe, t.PullML),
			Tester:      t.Tester.Ref, Time: time,
		}
	}
	return repeats
}

// spreads are standard deviations of ln time: of a tester's repeats, and of what
// the hand adds.
type spreads struct{ repeats, hand float64 }

// handSpread returns the group's own spreads, 0 if nobody repeated a test.
func handSpread(tests []BenchTest) (s spreads, err error) {
	measured, err := calc.MeasureSpread(repeatsOf(tests), TesterConfidence)
	if errors.Is(err, calc.ErrTooFewRepeats) {
		return spreads{}, nil
	}
	return spreads{measured.Repeatability.Value, measured.BetweenTesters.Value}, err
}

// apart is how far one tester's mean lies from the others' on one combination and
// pull, in ln time, with the variance of that if the tester had no hand at all.
type apart struct{ ln, variance float64 }

// handSum gathers one tester's differences from the others.
type handSum struct {
	tests        int
	combinations map[combinationKey]bool
	apart        []apart
}

// ownTimes is one tester's ln times on one combination.
type ownTimes struct {
	tester int64
	n      int
	sum    float64
}

// compareHands adds the tests of one combination and pull to the sums.
func compareHands(sums map[int64]*handSum, tests []BenchTest, s spreads) {
	hands, all := handsOf(tests)
	if len(hands) < 2 {
		return
	}
	var squares float64 // of the numbers of tests
	for _, h := range hands {
		squares += float64(h.n * h.n)
	}
	for _, own := range hands {
		n, others := float64(own.n), float64(all.n-own.n)
		sum := sums[own.tester]
		if sum == nil {
			sum = &handSum{combinations: make(map[combinationKey]bool)}
			sums[own.tester] = sum
		}
		sum.tests += own.n
		sum.combinations[keyOf(tests[0].Combination)] = true
		sum.apart = append(sum.apart, apart{
			ln:       own.sum/n - (all.sum-own.sum)/others,
			variance: s.repeats*s.repeats*(1/n+1/others) + s.hand*s.hand*(squares-n*n)/(others*others),
		})
	}
}

// handsOf adds up the ln times of each tester, and of all.
func handsOf(tests []BenchTest) (hands []ownTimes, all ownTimes) {
	for _, t := range tests {
		i := slices.IndexFunc(hands, func(h ownTimes) bool { return h.tester == t.Tester.ID })
		if i < 0 {
			i = len(hands)
			hands = append(hands, ownTimes{tester: t.Tester.ID})
		}
		ln := math.Log(t.Seconds)
		hands[i].n++
		hands[i].sum += ln
		all.n++
		all.sum += ln
	}
	slices.SortFunc(hands, func(a, b ownTimes) int { return cmp.Compare(a.tester, b.tester) })
	return hands, all
}

// middle is the mean of the differences, each weighted by how well it is known,
// and its standard deviation. Where they scatter more than their variances say,
// the tester's hand is not the same on every combination, and the standard
// deviation is widened by as much (Birge, Physical Review 40 (1932) 207, from
// memory). Not ok where nothing was repeated.
func (h *handSum) middle() (mean, deviation float64, ok bool) {
	var weight, weighted float64
	for _, a := range h.apart {
		if !(a.variance > 0) {
			return 0, 0, false
		}
		weight += 1 / a.variance
		weighted += a.ln / a.variance
	}
	mean = weighted / weight
	var scatter float64
	for _, a := range h.apart {
		scatter += (a.ln - mean) * (a.ln - mean) / a.variance
	}
	deviation = 1 / math.Sqrt(weight)
	if n := len(h.apart); n > 1 {
		deviation *= math.Sqrt(max(1, scatter/float64(n-1)))
	}
	return mean, deviation, true
}

// standing says how a tester compares; the sum is nil if there is nothing to
// compare.
func (h *handSum) standing(m Member) TesterStanding {
	if h == nil {
		return TesterStanding{Member: m}
	}
	t := TesterStanding{Member: m, Tests: h.tests, Combinations: len(h.combinations)}
	middle, deviation, ok := h.middle()
	if !ok {
		return t
	}
	reach := testerZ * deviation
	t.Ratio, t.Low, t.High = math.Exp(middle), math.Exp(middle-reach), math.Exp(middle+reach)
	enough := t.Tests >= fewestTesterTests && t.Combinations >= fewestTesterCombs
	t.Differs = enough && (t.Low > 1 || t.High < 1)
	return t
}
