package knowledge

import (
	"context"
	"database/sql"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// apartChange is what undoing TellApart takes: the two, the earlier first.
type apartChange struct{ First, Second int64 }

// TellApart says that two products whose names are alike are two, for good, with a line
// in the history: AlikeProducts no longer has them.
//
// Errors: *FieldError where both are one product or were told apart before; ErrNotFound
// for a product or member that is not there.
func (g *Group) TellApart(ctx context.Context, one, other int64, by Member, reason string) (err error) {
	defer wrap(&err, "tell products %d and %d apart", one, other)
	if reason, err = checkReason(reason); err != nil {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
		first, err := g.productByID(ctx, q, one)
		if err != nil {
			return err
		}
		second, err := g.productByID(ctx, q, other)
		if err != nil {
			return err
		}
		if first.ID == second.ID {
			return trade.Refuse("product", "both names are %s's", first.Name)
		}
		if first.ID > second.ID {
			first, second = second, first
		}
		apart, err := g.toldApart(ctx, q)
		if err != nil {
			return err
		}
		pair := [2]int64{first.ID, second.ID}
		if apart[pair] {
			return trade.Refuse("product", "%s and %s are on record as two gels already", first.Name, second.Name)
		}
		if err := g.keepApart(ctx, q, first.ID, second.ID); err != nil {
			return err
		}
		_, err = g.noteListChange(ctx, q, listChange{product: first.ID, other: second.ID, action: ToldApartAct,
			after: "not " + second.Name, by: by, reason: reason, undo: undoing{Apart: &apartChange{pair[0], pair[1]}}})
		return err
	})
}

// keepApart puts on record that two products are two, where it is not.
func (g *Group) keepApart(ctx context.Context, q querier, one, other int64) error {
	_, err := q.Exec(ctx, `
		INSERT INTO products_apart (community_id, product_id, other_id)
		VALUES (?, ?, ?) ON CONFLICT DO NOTHING`, g.id, min(one, other), max(one, other))
	return err
}

// toldApart reads the pairs that are on record as two products, the earlier first.
func (g *Group) toldApart(ctx context.Context, q querier) (map[[2]int64]bool, error) {
	pairs, err := database.Collect(ctx, q, func(rows *sql.Rows, p *[2]int64) error { return rows.Scan(&p[0], &p[1]) },
		`SELECT product_id, other_id FROM products_apart WHERE community_id = ?`, g.id)
	apart := make(map[[2]int64]bool, len(pairs))
	for _, p := range pairs {
		apart[p] = true
	}
	return apart, err
}

// undo has the two asked about again.
func (c *apartChange) undo(ctx context.Context, g *Group, q querier) error {
	_, err := q.Exec(ctx, `
		DELETE FROM products_apart WHERE community_id = ? AND product_id = ? AND other_id = ?`, g.id, c.First, c.Second)
	return err
}
