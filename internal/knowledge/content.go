package knowledge

import (
	"context"
	"database/sql"
	"slices"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// content is what makes two lines of a file the same test. Seconds are compared by value: a
// spreadsheet that makes 5.70 into 5.7 has not made another test.
type content struct {
	combination                        combinationKey
	tester                             int64
	testedOn, liquid, timing, note     string
	liquidC, pullML, watchedS, seconds float64
	outcome                            Outcome
}

func (t BenchTest) content() content {
	return content{
		combination: keyOf(t.Combination), tester: t.Tester.ID,
		testedOn: t.TestedOn, liquid: t.Liquid, timing: t.Timing, note: t.Note,
		liquidC: t.LiquidC, pullML: t.PullML, watchedS: t.WatchedS, seconds: t.Seconds,
		outcome: t.Outcome,
	}
}

// storedTest is a stored test with what a file may add to it.
type storedTest struct {
	id   int64
	film Film
	lot  trade.Lot
}

// storedTests are the stored tests of one content, in the order logged.
type storedTests []storedTest

// match returns the index of the test that a line with this film and lot is about: the one
// with the same film and lot, else one that lacks what the line has, else the first.
func (s storedTests) match(film Film, lot trade.Lot) int {
	for _, fits := range []func(storedTest) bool{
		func(t storedTest) bool { return t.film == film && t.lot == lot },
		func(t storedTest) bool { return t.film == film && t.lot == (trade.Lot{}) },
		func(t storedTest) bool { return t.film == (Film{}) && t.lot == lot },
		func(t storedTest) bool { return t.film == (Film{}) && t.lot == (trade.Lot{}) },
	} {
		if i := slices.IndexFunc(s, fits); i >= 0 {
			return i
		}
	}
	return 0
}

// contents returns the community's tests by their content, withdrawn ones too: importing a
// file again must not bring them back. It reads the rows after one, and returns the last.
func (g *Group) contents(ctx context.Context, q querier, after int64) (stored map[content]storedTests, last int64,
	err error) {
	type row struct {
		content
		storedTest
	}
	found, err := database.Collect(ctx, q, func(rows *sql.Rows, r *row) error {
		var seconds sql.NullFloat64
		k := &r.combination
		err := rows.Scan(&r.id, &k.product, &k.instrument, &k.syringe, &r.tester, &r.testedOn, &r.liquid,
			&r.timing, &r.note, &r.liquidC, &r.pullML, &r.watchedS, &seconds, &r.outcome, &r.film.Marks, &r.film.Link,
			&r.lot.Number, &r.lot.Expires)
		r.seconds = seconds.Float64
		return err
	}, `
		SELECT id, product_id, instrument_id, syringe_id, tester_id, tested_on, liquid,
		       timing, note, liquid_c, pull_ml, watched_s, seconds, outcome, film_marks, film_link, lot, expires
		FROM tests WHERE community_id = ? AND id > ? ORDER BY id`, g.id, after)
	stored, last = make(map[content]storedTests, len(found)), after
	for _, r := range found {
		stored[r.content] = append(stored[r.content], r.storedTest)
		last = r.id
	}
	return stored, last, err
}
