package knowledge

import (
	"context"

	"holdbench/internal/trade"
)

// UpdateInstrument changes a needle or cannula without a line in the history.
func (g *Group) UpdateInstrument(ctx context.Context, i trade.Instrument) (updated trade.Instrument, err error) {
	defer wrap(&err, "update %s", i.Name())
	err = g.store.inTx(ctx, func(q querier) error {
		updated, err = g.updateInstrument(ctx, q, i)
		return err
	})
	return updated, err
}

// UpdateProduct changes a product without a line in the history.
func (g *Group) UpdateProduct(ctx context.Context, p trade.Product) (updated trade.Product, err error) {
	defer wrap(&err, "update product")
	err = g.store.inTx(ctx, func(q querier) error {
		updated, err = g.updateProduct(ctx, q, p)
		return err
	})
	return updated, err
}
