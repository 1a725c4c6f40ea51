package knowledge

import (
	"context"
	"database/sql"

	"holdbench/internal/trade"
)

// combinationKey is a combination by the row numbers of its parts.
type combinationKey struct{ product, instrument, syringe int64 }

func keyOf(c trade.Combination) combinationKey {
	return combinationKey{c.Product.ID, c.Instrument.ID, c.Syringe.ID}
}

// combination returns the listed combination with these numbers; ErrNotFound for numbers of
// another vocabulary.
func (v *Vocabulary) combination(k combinationKey) (c trade.Combination, err error) {
	var found [3]bool
	c.Product, found[0] = pick(v.Products, v.productByID, k.product)
	c.Instrument, found[1] = pick(v.Instruments, v.instrumentByID, k.instrument)
	c.Syringe, found[2] = pick(v.Syringes, v.syringeByID, k.syringe)
	if !found[0] || !found[1] && k.instrument != 0 || !found[2] {
		return trade.Combination{}, notFound("combination")
	}
	return c, nil
}

// StockedCombination is a combination that members hold.
type StockedCombination struct {
	Combination trade.Combination
	Holders     int    // members who hold it
	Since       string // the latest day somebody stocked it, 2006-01-02
	Tests       int    // kept tests of it
}

// Stocked returns every combination that somebody stocks, those held by most
// members first. Stock without an instrument is left out.
func (g *Group) Stocked(ctx context.Context) (stocked []StockedCombination, err error) {
	defer wrap(&err, "stocked combinations")
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]StockedCombination, error) {
		return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, s *StockedCombination) (err error) {
			var k combinationKey
			if err := rows.Scan(&k.product, &k.instrument, &k.syringe, &s.Holders, &s.Since, &s.Tests); err != nil {
				return err
			}
			s.Combination, err = v.combination(k)
			return err
		}, `
			SELECT s.product_id, s.instrument_id, s.syringe_id, COUNT(DISTINCT s.member_id) AS holders,
			       MAX(s.stocked_on), COALESCE(MAX(t.kept_tests), 0)
			FROM stock s
			LEFT JOIN tested_combinations t ON t.product_id = s.product_id
			     AND t.instrument_id = s.instrument_id AND t.syringe_id = s.syringe_id
			WHERE s.community_id = ? AND s.instrument_id IS NOT NULL
			GROUP BY s.product_id, s.instrument_id, s.syringe_id
			ORDER BY holders DESC, s.product_id, s.instrument_id, s.syringe_id`, g.id)
	})
}

// TestedCombination is a combination with kept tests.
type TestedCombination struct {
	Combination trade.Combination
	Tests       int
	Testers     int
	Latest      string // day of the latest test, 2006-01-02
}

// Tested returns every combination with kept tests, ordered by when its product, instrument
// and syringe were added.
func (g *Group) Tested(ctx context.Context) (tested []TestedCombination, err error) {
	defer wrap(&err, "tested combinations")
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]TestedCombination, error) {
		return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, t *TestedCombination) (err error) {
			var k combinationKey
			if err := rows.Scan(&k.product, &k.instrument, &k.syringe, &t.Tests, &t.Testers, &t.Latest); err != nil {
				return err
			}
			t.Combination, err = v.combination(k)
			return err
		}, `
			SELECT product_id, instrument_id, syringe_id,
			       COUNT(*), COUNT(DISTINCT tester_id), MAX(tested_on)
			FROM tests
			WHERE community_id = ? AND state = 'kept'
			GROUP BY product_id, instrument_id, syringe_id
			ORDER BY product_id, instrument_id, syringe_id`, g.id)
	})
}
