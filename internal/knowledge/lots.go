package knowledge

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"holdbench/internal/trade"
)

// LotStanding is how the times of one lot of a gel compare with those of its other lots on
// the same combinations and pulls.
type LotStanding struct {
	Product          trade.Product
	Lot              trade.Lot // with the latest expiry noted
	Noted            int       // kept tests of it
	Compared         int       // of them: those with a flashback on a combination that another lot was tested on
	Testers          int       // who made the compared tests
	Ratio, Low, High float64   // its times over the others', with limits; 0 if there is too little to compare
	Apart            bool      // the limits exclude 1, and there are enough tests and testers
}

// A lot stands apart if its limits at TesterConfidence exclude 1 and it has at least so many
// tests and hands: with one hand, hand and lot cannot be told apart (project's choice, no
// source).
const (
	fewestLotTests = 5
	fewestLotHands = 2
)

// Lots compares the lots of a gel, or with 0 those of every gel, ordered by the gel's name
// and the lot's number. Only tests with a lot on record and a flashback are compared, and no
// flagged ones. The scatter of repeats and hands is the group's own, as for Testers. It first
// brings the estimates up to date, for the flags.
//
// If all lots are alike, fewer than 1 in 100 are said to stand apart
// (TestLotsAreRarelyWronged). That assumes that a hand is the same on every combination.
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
	// Both from all tests. The scatter of repeats is taken within lots, so that the difference between lots is not in it.
	// The effect of a hand is taken across lots, because few hands test the same lot.
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
