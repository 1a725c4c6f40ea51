package knowledge

import (
	"context"

	"holdbench/internal/trade"
)

// mostHeld is how many things one message may name as held.
const mostHeld = 100

// Hold records what a member holds: all of it or, with an error, nothing. It returns the
// items that are new. What the member holds already stays as it was. The member of the items
// is filled in, and an empty day is today. A product's first day in stock is set if this is
// earlier.
//
// Errors: *FieldError; ErrNotFound for a member or product that is not there.
func (g *Group) Hold(ctx context.Context, m Member, items []StockItem) (added []StockItem, err error) {
	defer wrap(&err, "hold")
	if len(items) == 0 || len(items) > mostHeld {
		return nil, trade.Refuse("stock", "%d things are named, want 1 to %d", len(items), mostHeld)
	}
	err = g.store.inTx(ctx, func(q querier) error {
		added = nil
		for _, item := range items {
			item.Member = m
			if item.StockedOn, err = g.pastDay(ctx, q, "stocked on", trade.Tidy(item.StockedOn)); err != nil {
				return err
			}
			held, isNew, err := g.addStock(ctx, q, item)
			if err != nil {
				return err
			}
			if !isNew {
				continue
			}
			if held.Combination.Product, err = g.firstStocked(ctx, q, held); err != nil {
				return err
			}
			added = append(added, held)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return added, nil
}

// firstStocked sets a product's first day in stock if none or a later one is on record, and
// returns the product with it.
func (g *Group) firstStocked(ctx context.Context, q querier, held StockItem) (trade.Product, error) {
	p := held.Combination.Product
	if p.FirstStocked != "" && p.FirstStocked <= held.StockedOn {
		return p, nil
	}
	p.FirstStocked = held.StockedOn
	if err := q.do(ctx, `
		UPDATE products SET first_stocked = ?
		WHERE community_id = ? AND id = ?`, p.FirstStocked, g.id, p.ID); err != nil {
		return trade.Product{}, err
	}
	return p, g.bumpVocabulary(ctx, q)
}
