package knowledge

import (
	"context"
	"database/sql"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// TellApart records that two products with names that are alike are two, with a line in the
// history. AlikeProducts then leaves them out.
//
// Errors: *FieldError if both are one product or were told apart before; ErrNotFound for a
// product or member that is not there.
func (g *Group) TellApart(ctx context.Context, one, other int64, by Member, reason string) (err error) {
	defer wrap(&err, "tell products %d and %d apart", one, other)
	told := listChange{product: one, other: other, action: ToldApartAct, reason: reason}
	return g.changeLists(ctx, by, told, func(q querier, c *listChange) error {
		first, err := g.productByID(ctx, q, c.product)
		if err != nil {
			return err
		}
		second, err := g.productByID(ctx, q, c.other)
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
		if apart[[2]int64{first.ID, second.ID}] {
			return trade.Refuse("product", "%s and %s are on record as two gels already", first.Name, second.Name)
		}
		c.product, c.other, c.after = first.ID, second.ID, "not "+second.Name
		return g.keepApart(ctx, q, first.ID, second.ID)
	})
}

// keepApart stores that two products are two.
func (g *Group) keepApart(ctx context.Context, q querier, one, other int64) error {
	return q.do(ctx, `
		INSERT INTO products_apart (community_id, product_id, other_id)
		VALUES (?, ?, ?) ON CONFLICT DO NOTHING`, g.id, min(one, other), max(one, other))
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
