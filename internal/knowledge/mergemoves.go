package knowledge

import "context"

// testsChanged has the tests of two products counted anew, and both estimated anew.
func (g *Group) testsChanged(ctx context.Context, q querier, a, b int64) error {
	if err := q.do(ctx, `
		UPDATE products SET log_version = log_version + 1 WHERE community_id = ? AND id IN (?, ?)`, g.id, a, b); err != nil {
		return err
	}
	return g.recount(ctx, q, a, b)
}

// recount counts the kept tests of two products.
func (g *Group) recount(ctx context.Context, q querier, a, b int64) error {
	return g.execAll(ctx, q,
		statement{`DELETE FROM tested_combinations WHERE community_id = ? AND product_id IN (?, ?)`, []any{g.id, a, b}},
		statement{`
			INSERT INTO tested_combinations (community_id, product_id, instrument_id, syringe_id, gel_class, kept_tests)
			SELECT t.community_id, t.product_id, t.instrument_id, t.syringe_id, p.gel_class,
			       SUM(CASE WHEN t.state = 'kept' THEN 1 ELSE 0 END)
			FROM tests t
			JOIN products p ON p.community_id = t.community_id AND p.id = t.product_id
			WHERE t.community_id = ? AND t.product_id IN (?, ?)
			GROUP BY t.community_id, t.product_id, t.instrument_id, t.syringe_id, p.gel_class`, []any{g.id, a, b}},
		statement{`
			UPDATE products SET kept_tests = (
				SELECT COUNT(*) FROM tests t
				WHERE t.community_id = products.community_id AND t.product_id = products.id AND t.state = 'kept')
			WHERE community_id = ? AND id IN (?, ?)`, []any{g.id, a, b}},
	)
}

// joinRows returns the statements that join the rows that both products have for the same
// thing. Stock that a member holds of both becomes one row with the earlier day. Of what a
// member asked about, the latest day stays. What was said of a combination of the other
// product stays.
func (g *Group) joinRows(from, into int64) []statement {
	const both = `
		EXISTS (SELECT 1 FROM stock o
			WHERE o.community_id = stock.community_id AND o.member_id = stock.member_id AND o.product_id = ?
			      AND COALESCE(o.instrument_id, 0) = COALESCE(stock.instrument_id, 0) AND o.syringe_id = stock.syringe_id)`
	return []statement{
		{`
			UPDATE stock SET stocked_on = (
				SELECT MIN(o.stocked_on) FROM stock o
				WHERE o.community_id = stock.community_id AND o.member_id = stock.member_id AND o.product_id IN (?, ?)
				      AND COALESCE(o.instrument_id, 0) = COALESCE(stock.instrument_id, 0) AND o.syringe_id = stock.syringe_id)
			WHERE community_id = ? AND product_id = ? AND ` + both, []any{from, into, g.id, into, from}},
		{`DELETE FROM stock WHERE community_id = ? AND product_id = ? AND ` + both, []any{g.id, from, into}},
		{`
			INSERT INTO asked (community_id, member_id, product_id, instrument_id, syringe_id, asked_on, asked_at)
			SELECT community_id, member_id, ?, instrument_id, syringe_id, asked_on, asked_at
			FROM asked WHERE community_id = ? AND product_id = ?` + askedLatest, []any{into, g.id, from}},
		{`DELETE FROM asked WHERE community_id = ? AND product_id = ?`, []any{g.id, from}},
		{`
			DELETE FROM verdicts WHERE community_id = ? AND product_id = ? AND EXISTS (
				SELECT 1 FROM verdicts o
				WHERE o.community_id = verdicts.community_id AND o.product_id = ?
				      AND o.instrument_id = verdicts.instrument_id AND o.syringe_id = verdicts.syringe_id)`,
			[]any{g.id, from, into}},
		{`DELETE FROM appraisals WHERE community_id = ? AND product_id = ?`, []any{g.id, from}},
		{`DELETE FROM estimates WHERE community_id = ? AND product_id = ?`, []any{g.id, from}},
	}
}

// closeSecondClaims closes the later of two open claims on what becomes one combination.
func (g *Group) closeSecondClaims(ctx context.Context, q querier, from, into int64) error {
	today, err := g.today(ctx, q)
	if err != nil {
		return err
	}
	if _, err := g.lapse(ctx, q, today, combinationKey{}); err != nil {
		return err
	}
	open, err := g.readClaims(ctx, q, `
		c.community_id = ? AND c.product_id IN (?, ?) AND c.closed_on = '' ORDER BY c.taken_on, c.id`, g.id, from, into)
	if err != nil {
		return err
	}
	stands := make(map[[2]int64]bool) // by instrument and syringe
	for _, c := range open {
		k := [2]int64{c.Combination.Instrument.ID, c.Combination.Syringe.ID}
		if !stands[k] {
			stands[k] = true
			continue
		}
		if err := q.do(ctx, `
			UPDATE claims SET state = ?, closed_on = ?
			WHERE community_id = ? AND id = ?`, ClaimMerged, today, g.id, c.ID); err != nil {
			return err
		}
	}
	return nil
}

// statement is a statement with its arguments.
type statement struct {
	text string
	args []any
}

// execAll runs statements one after the other.
func (g *Group) execAll(ctx context.Context, q querier, statements ...statement) error {
	for _, s := range statements {
		if err := q.do(ctx, s.text, s.args...); err != nil {
			return err
		}
	}
	return nil
}
