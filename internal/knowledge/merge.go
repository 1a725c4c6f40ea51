package knowledge

import (
	"context"
	"database/sql"
	"fmt"
	"slices"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// MergeProducts merges a product into another that turned out to be the same, and returns
// that one. Tests, stock, claims and what waits in the box move over, the names become
// aliases, and both are estimated anew. The class of the other counts. The history keeps who
// merged them, why, and which tests moved. The number of the merged product stands for the
// other from then on.
//
// If a member stocked or asked about both alike, one row stays: the earliest stocked, the
// latest asked. If both have an open claim on the same combination, the one taken first
// stays and the other is closed as merged.
//
// Errors: *FieldError if they are one product or have too many names together;
// ErrNotFound for a product or member that is not there.
func (g *Group) MergeProducts(ctx context.Context, from, into int64, by Member, reason string) (left trade.Product,
	err error) {
	defer wrap(&err, "merge product %d into %d", from, into)
	if trade.Tidy(reason) == "" {
		return trade.Product{}, trade.Refuse("reason", "is missing; it stays on record with the products")
	}
	merging := listChange{product: into, other: from, action: MergedAct, reason: reason}
	err = g.changeLists(ctx, by, merging, func(q querier, c *listChange) error {
		goes, err := g.productByID(ctx, q, c.other)
		if err != nil {
			return err
		}
		stays, err := g.productByID(ctx, q, c.product)
		if err != nil {
			return err
		}
		if goes.ID == stays.ID {
			return trade.Refuse("product", "%q and %q are one product already", goes.Name, stays.Name)
		}
		if names := len(goes.Aliases) + len(stays.Aliases) + 1; names > trade.MostAliases {
			return trade.Refuse("alias", "together they would have %d, more than %d; take some out first", names,
				trade.MostAliases)
		}
		c.before, c.after = described(goes), described(stays)
		c.then = func(id int64) error {
			left, err = g.merge(ctx, q, goes, stays, id)
			return err
		}
		return nil
	})
	if err != nil {
		return trade.Product{}, err
	}
	g.reestimate(ctx, left.ID)
	return left, nil
}

// merge moves everything of one product to another. change is the row number of the history's
// line.
func (g *Group) merge(ctx context.Context, q querier, goes, stays trade.Product, change int64) (left trade.Product,
	err error) {
	if err := q.do(ctx, `
		INSERT INTO merged_tests (community_id, change_id, test_id)
		SELECT community_id, ?, id FROM tests WHERE community_id = ? AND product_id = ?`, change, g.id, goes.ID); err != nil {
		return left, err
	}
	if err := g.closeSecondClaims(ctx, q, goes.ID, stays.ID); err != nil {
		return left, err
	}
	if err := g.execAll(ctx, q, g.joinRows(goes.ID, stays.ID)...); err != nil {
		return left, err
	}
	for _, table := range [...]string{"tests", "slips", "stock", "claims", "verdicts", "verdict_changes", "box_items",
		"classes", "setup_looks", "list_changes"} {
		err := q.do(ctx, `UPDATE `+table+` SET product_id = ? WHERE community_id = ? AND product_id = ?`, stays.ID, g.id,
			goes.ID)
		if err != nil {
			return left, err
		}
	}
	if err := g.testsChanged(ctx, q, goes.ID, stays.ID); err != nil {
		return left, err
	}
	return g.moveNames(ctx, q, goes, stays)
}

// described is a product in words, with its class and aliases.
func described(p trade.Product) string {
	text := fmt.Sprintf("%s (%s)", p.Name, p.Class)
	for _, alias := range p.Aliases {
		text += "; " + alias
	}
	return text
}

// moveNames makes the names of a merged product aliases of the other.
func (g *Group) moveNames(ctx context.Context, q querier, goes, stays trade.Product) (trade.Product, error) {
	err := g.execAll(ctx, q,
		statement{`DELETE FROM product_names WHERE community_id = ? AND product_id = ?`, []any{g.id, goes.ID}},
		statement{`
			UPDATE products SET merged_into = ?, first_stocked = ''
			WHERE community_id = ? AND (id = ? OR merged_into = ?)`, []any{stays.ID, g.id, goes.ID, goes.ID}})
	if err != nil {
		return trade.Product{}, err
	}
	stays.Aliases = slices.Concat(stays.Aliases, []string{asAlias(goes.Name)}, goes.Aliases)
	if stays.FirstStocked == "" || goes.FirstStocked != "" && goes.FirstStocked < stays.FirstStocked {
		stays.FirstStocked = goes.FirstStocked
	}
	return g.updateProduct(ctx, q, stays)
}

// readMerged reads which products were merged into which others.
func (g *Group) readMerged(ctx context.Context, q querier) (map[int64]int64, error) {
	type row struct{ from, into int64 }
	rows, err := database.Collect(ctx, q, func(rows *sql.Rows, r *row) error { return rows.Scan(&r.from, &r.into) }, `
		SELECT id, merged_into FROM products
		WHERE community_id = ? AND merged_into IS NOT NULL`, g.id)
	merged := make(map[int64]int64, len(rows))
	for _, r := range rows {
		merged[r.from] = r.into
	}
	return merged, err
}
