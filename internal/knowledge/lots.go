package knowledge

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"holdbench/internal/trade"
)

// LotStanding is how the times of one lot of a gel compare with those of its other lots,
// on the same combinations and pulls.
type LotStanding struct {
	Product          trade.Product
	Lot              trade.Lot // the latest date that was noted with it
	Noted            int       // kept tests of it
	Compared         int       // those of them that showed where another lot was tested, too
	Testers          int       // whose tests those are
	Ratio, Low, High float64   // its times over the others': the middle and its limits, 0 if it cannot be told
	Apart            bool      // the limits leave 1 out, and there is enough to go by
}

// When a lot stands apart: limits at TesterConfidence, and no fewer tests and hands than
// this. One hand alone cannot be told from the lot (project's choice, no source).
const (
	fewestLotTests = 5
	fewestLotHands = 2
)

// Lots compares the lots of a gel, or with 0 those of every gel, by name of the gel and
// number of the lot. Only tests with a lot on record are compared; what repeats and hands
// scatter is the group's own, as for Testers. Tests without a flashback are left out of
// the comparison, and those that look like a slip of the pen.
//
// Of lots that are all alike fewer than 1 in 100 are said to stand apart
// (TestLotsAreRarelyWronged): a hand is taken to be the same on every combination. It brings the estimates up to date,
// for the slips.
func (g *Group) Lots(ctx context.Context, product int64) (lots []LotStanding, err error) {
	defer wrap(&err, "lots")
	if err := g.bringUpToDate(ctx, goBy); err != nil {
		return nil, err
	}
	var tests []BenchTest
	err = g.store.snapshot(ctx, func(q querier) error {
		tests, err = g.readTests(ctx, q, keptByPull, g.id)
		return err
	})
	if err != nil {
		return nil, err
	}
	return lotStandings(withoutSlips(tests), product)
}

// lotKey tells lots apart: two makers may use one number.
type lotKey struct {
	product int64
	number  string
}

func lotOf(t BenchTest) lotKey { return lotKey{t.Combination.Product.ID, t.Lot.Number} }

// lotStandings compares lots by tests sorted by combination and pull.
func lotStandings(tests []BenchTest, product int64) (lots []LotStanding, err error) {
	// Both of all tests. What lots differ by is no scatter of repeats; what a hand adds is
	// known better across lots, for few hands test the same one.
	spread, err := handSpread(timed(tests), false)
	if err != nil {
		return nil, err
	}
	within, err := handSpread(timed(tests), true)
	if err != nil {
		return nil, err
	}
	spread.repeats = within.repeats
	tests = slices.DeleteFunc(slices.Clone(tests), func(t BenchTest) bool {
		return t.Lot.Number == "" || product != 0 && t.Combination.Product.ID != product
	})
	found := compareAll(timed(tests), lotOf, false, spread)
	all := make(map[lotKey]*LotStanding)
	for _, t := range tests {
		l := all[lotOf(t)]
		if l == nil {
			l = &LotStanding{Product: t.Combination.Product, Lot: t.Lot}
			all[lotOf(t)] = l
		}
		l.Noted++
		l.Lot.Expires = max(l.Lot.Expires, t.Lot.Expires)
	}
	for k, l := range all {
		if d := found[k]; d != nil {
			l.Compared, l.Testers = d.tests, len(d.hands)
			l.Ratio, l.Low, l.High = d.ratio()
		}
		enough := l.Compared >= fewestLotTests && l.Testers >= fewestLotHands && l.Ratio > 0
		l.Apart = enough && (l.Low > 1 || l.High < 1)
		lots = append(lots, *l)
	}
	slices.SortFunc(lots, func(a, b LotStanding) int {
		return cmp.Or(strings.Compare(a.Product.Name, b.Product.Name), strings.Compare(a.Lot.Number, b.Lot.Number))
	})
	return lots, nil
}
