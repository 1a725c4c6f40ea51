package knowledge

import (
	"context"
	"fmt"

	"holdbench/internal/trade"
)

// MergePlan is what a merge would move.
type MergePlan struct {
	Goes, Stays               trade.Product
	Tests, Stock, Claims, Box int // of the one that is merged
}

// PlanMerge returns what MergeProducts would move, and changes nothing. ErrNotFound for a
// product that is not there.
func (g *Group) PlanMerge(ctx context.Context, from, into int64) (p MergePlan, err error) {
	defer wrap(&err, "plan a merge")
	err = g.store.snapshot(ctx, func(q querier) error {
		if p.Goes, err = g.productByID(ctx, q, from); err != nil {
			return err
		}
		if p.Stays, err = g.productByID(ctx, q, into); err != nil {
			return err
		}
		for to, from := range map[*int]string{
			&p.Tests: `tests WHERE`, &p.Stock: `stock WHERE`, &p.Claims: `claims WHERE closed_on = '' AND`,
			&p.Box: `box_items WHERE state = 'waiting' AND`,
		} {
			query := fmt.Sprintf(`SELECT COUNT(*) FROM %s community_id = ? AND product_id = ?`, from)
			if err := q.Row(ctx, query, g.id, p.Goes.ID).Scan(to); err != nil {
				return err
			}
		}
		return nil
	})
	return p, err
}
