package knowledge

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
)

// MergeProducts puts a product into another that it turned out to be: its tests,
// stock, names, claims and what waits in the box follow, and both are estimated
// anew. Its class is given up for the other's. Nothing is lost: its names become
// aliases, and the history keeps who merged it, why, and which tests came over.
// Its number stands for the other from then on. It returns the product that is
// left.
//
// Where both were stocked or asked about the same way, one line stays: the
// earliest stocked, the latest asked. Where both have an open claim on the same
// combination, the one taken first stays and the other is closed as merged.
//
// Errors: *FieldError if they are one product or have too many names together;
// ErrNotFound for a product or member that is not there.
func (g *Group) MergeProducts(ctx context.Context, from, into int64, by Member, reason string) (left Product, err error) {
	defer wrap(&err, "merge product %d into %d", from, into)
	reason = tidy(reason)
	if reason == "" {
		return Product{}, refuse("reason", "is missing; it stays on record with the products")
	}
	if err := CheckFreeText("reason", reason); err != nil {
		return Product{}, err
	}
	err = g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
		goes, err := g.productByID(ctx, q, from)
		if err != nil {
			return err
		}
		stays, err := g.productByID(ctx, q, into)
		if err != nil {
			return err
		}
		left, err = g.merge(ctx, q, goes, stays, by, reason)
		return err
	})
	if err != nil {
		return Product{}, err
	}
	g.reestimate(ctx, left.ID)
	return left, nil
}

func (g *Group) merge(ctx context.Context, q querier, goes, stays Product, by Member, reason string) (Product, error) {
	if goes.ID == stays.ID {
		return Product{}, refuse("product", "%q and %q are one product already", goes.Name, stays.Name)
	}
	if names := len(goes.Aliases) + len(stays.Aliases) + 1; names > maxAliases {
		return Product{}, refuse("alias", "together they would have %d, more than %d; take some out first", names, maxAliases)
	}
	change, err := g.noteProductChange(ctx, q, productChange{
		product: stays.ID, other: goes.ID, action: MergedAct, by: by, reason: reason,
		before: described(goes), after: described(stays),
	})
	if err != nil {
		return Product{}, err
	}
	if _, err := q.exec(ctx, `
		INSERT INTO merged_tests (community_id, change_id, test_id)
		SELECT community_id, ?, id FROM tests WHERE community_id = ? AND product_id = ?`, change, g.id, goes.ID); err != nil {
		return Product{}, err
	}
	for _, move := range [...]func(context.Context, querier, int64, int64) error{
		g.moveStock, g.moveClaims, g.moveAsked, g.moveVerdicts, g.moveTests, g.moveRest,
	} {
		if err := move(ctx, q, goes.ID, stays.ID); err != nil {
			return Product{}, err
		}
	}
	return g.moveNames(ctx, q, goes, stays)
}

// described is a product with all that a merge gives up.
func described(p Product) string {
	text := fmt.Sprintf("%s (%s)", p.Name, p.Class)
	for _, alias := range p.Aliases {
		text += "; " + alias
	}
	return text
}

// moveNames makes the names of one product aliases of another and says that
// everything both were known by has changed.
func (g *Group) moveNames(ctx context.Context, q querier, goes, stays Product) (Product, error) {
	if _, err := q.exec(ctx, `
		DELETE FROM product_names WHERE community_id = ? AND product_id = ?`, g.id, goes.ID); err != nil {
		return Product{}, err
	}
	if _, err := q.exec(ctx, `
		UPDATE products SET merged_into = ?, first_stocked = '', log_version = log_version + 1
		WHERE community_id = ? AND (id = ? OR merged_into = ?)`, stays.ID, g.id, goes.ID, goes.ID); err != nil {
		return Product{}, err
	}
	if _, err := q.exec(ctx, `
		UPDATE products SET log_version = log_version + 1
		WHERE community_id = ? AND id = ?`, g.id, stays.ID); err != nil {
		return Product{}, err
	}
	stays.Aliases = slices.Concat(stays.Aliases, []string{asAlias(goes.Name)}, goes.Aliases)
	if stays.FirstStocked == "" || goes.FirstStocked != "" && goes.FirstStocked < stays.FirstStocked {
		stays.FirstStocked = goes.FirstStocked
	}
	return g.updateProduct(ctx, q, stays)
}

// moveTests moves the tests and counts them anew.
func (g *Group) moveTests(ctx context.Context, q querier, from, into int64) error {
	return g.execAll(ctx, q,
		statement{`UPDATE tests SET product_id = ? WHERE community_id = ? AND product_id = ?`, []any{into, g.id, from}},
		statement{`UPDATE slips SET product_id = ? WHERE community_id = ? AND product_id = ?`, []any{into, g.id, from}},
		statement{`DELETE FROM appraisals WHERE community_id = ? AND product_id = ?`, []any{g.id, from}},
		statement{`DELETE FROM estimates WHERE community_id = ? AND product_id = ?`, []any{g.id, from}},
		statement{`DELETE FROM tested_combinations WHERE community_id = ? AND product_id IN (?, ?)`, []any{g.id, from, into}},
		statement{`
			INSERT INTO tested_combinations (community_id, product_id, instrument_id, syringe_id, gel_class, kept_tests)
			SELECT t.community_id, t.product_id, t.instrument_id, t.syringe_id, p.gel_class,
			       SUM(CASE WHEN t.state = 'kept' THEN 1 ELSE 0 END)
			FROM tests t
			JOIN products p ON p.community_id = t.community_id AND p.id = t.product_id
			WHERE t.community_id = ? AND t.product_id = ?
			GROUP BY t.community_id, t.product_id, t.instrument_id, t.syringe_id, p.gel_class`, []any{g.id, into}},
		statement{`
			UPDATE products SET kept_tests = (
				SELECT COUNT(*) FROM tests t
				WHERE t.community_id = products.community_id AND t.product_id = products.id AND t.state = 'kept')
			WHERE community_id = ? AND id IN (?, ?)`, []any{g.id, from, into}},
	)
}

// moveStock moves what members hold; held as both it is one line, with the first day.
func (g *Group) moveStock(ctx context.Context, q querier, from, into int64) error {
	const both = `
		EXISTS (SELECT 1 FROM stock o
			WHERE o.community_id = stock.community_id AND o.member_id = stock.member_id AND o.product_id = ?
			      AND COALESCE(o.instrument_id, 0) = COALESCE(stock.instrument_id, 0) AND o.syringe_id = stock.syringe_id)`
	return g.execAll(ctx, q,
		statement{`
			UPDATE stock SET stocked_on = (
				SELECT MIN(o.stocked_on) FROM stock o
				WHERE o.community_id = stock.community_id AND o.member_id = stock.member_id AND o.product_id IN (?, ?)
				      AND COALESCE(o.instrument_id, 0) = COALESCE(stock.instrument_id, 0) AND o.syringe_id = stock.syringe_id)
			WHERE community_id = ? AND product_id = ? AND ` + both, []any{from, into, g.id, into, from}},
		statement{`DELETE FROM stock WHERE community_id = ? AND product_id = ? AND ` + both, []any{g.id, from, into}},
		statement{`UPDATE stock SET product_id = ? WHERE community_id = ? AND product_id = ?`, []any{into, g.id, from}},
	)
}

// moveClaims moves the claims. Of two open ones on what is one combination now
// the one taken first stays.
func (g *Group) moveClaims(ctx context.Context, q querier, from, into int64) error {
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
	stands := make(map[[2]int64]bool) // instrument and syringe
	for _, c := range open {
		k := [2]int64{c.Combination.Instrument.ID, c.Combination.Syringe.ID}
		if !stands[k] {
			stands[k] = true
			continue
		}
		if _, err := q.exec(ctx, `
			UPDATE claims SET state = ?, closed_on = ?
			WHERE community_id = ? AND id = ?`, ClaimMerged, today, g.id, c.ID); err != nil {
			return err
		}
	}
	_, err = q.exec(ctx, `UPDATE claims SET product_id = ? WHERE community_id = ? AND product_id = ?`, into, g.id, from)
	return err
}

// moveAsked moves what was asked about, with the latest day.
func (g *Group) moveAsked(ctx context.Context, q querier, from, into int64) error {
	return g.execAll(ctx, q,
		statement{`
			INSERT INTO asked (community_id, member_id, product_id, instrument_id, syringe_id, asked_on)
			SELECT community_id, member_id, ?, instrument_id, syringe_id, asked_on
			FROM asked WHERE community_id = ? AND product_id = ?
			ON CONFLICT (member_id, product_id, instrument_id, syringe_id) DO UPDATE SET asked_on = excluded.asked_on
			WHERE excluded.asked_on > asked.asked_on`, []any{into, g.id, from}},
		statement{`DELETE FROM asked WHERE community_id = ? AND product_id = ?`, []any{g.id, from}},
	)
}

// moveVerdicts moves what was said of the tested combinations, where the other
// product has nothing of its own to say.
func (g *Group) moveVerdicts(ctx context.Context, q querier, from, into int64) error {
	return g.execAll(ctx, q,
		statement{`
			DELETE FROM verdicts WHERE community_id = ? AND product_id = ? AND EXISTS (
				SELECT 1 FROM verdicts o
				WHERE o.community_id = verdicts.community_id AND o.product_id = ?
				      AND o.instrument_id = verdicts.instrument_id AND o.syringe_id = verdicts.syringe_id)`,
			[]any{g.id, from, into}},
		statement{`UPDATE verdicts SET product_id = ? WHERE community_id = ? AND product_id = ?`, []any{into, g.id, from}},
		statement{`UPDATE verdict_changes SET product_id = ? WHERE community_id = ? AND product_id = ?`, []any{into, g.id, from}},
	)
}

// moveRest moves the box and the history.
func (g *Group) moveRest(ctx context.Context, q querier, from, into int64) error {
	return g.execAll(ctx, q,
		statement{`UPDATE box_items SET product_id = ? WHERE community_id = ? AND product_id = ?`, []any{into, g.id, from}},
		statement{`UPDATE product_changes SET product_id = ? WHERE community_id = ? AND product_id = ?`, []any{into, g.id, from}},
	)
}

// statement is a statement with its arguments.
type statement struct {
	text string
	args []any
}

// execAll runs statements one after the other.
func (g *Group) execAll(ctx context.Context, q querier, statements ...statement) error {
	for _, s := range statements {
		if _, err := q.exec(ctx, s.text, s.args...); err != nil {
			return err
		}
	}
	return nil
}

// readMerged reads which products went into which others.
func (g *Group) readMerged(ctx context.Context, q querier) (map[int64]int64, error) {
	type row struct{ from, into int64 }
	rows, err := collect(ctx, q, func(rows *sql.Rows, r *row) error { return rows.Scan(&r.from, &r.into) }, `
		SELECT id, merged_into FROM products
		WHERE community_id = ? AND merged_into IS NOT NULL`, g.id)
	merged := make(map[int64]int64, len(rows))
	for _, r := range rows {
		merged[r.from] = r.into
	}
	return merged, err
}
