package knowledge

import (
	"context"
	"slices"

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

// History returns what was done to a test, from its logging on. ErrNotFound for one that is not there.
func (g *Group) History(ctx context.Context, testID int64) ([]LogChange, error) {
	changes, err := g.Changes(ctx, ChangeFilter{TestID: testID})
	if err == nil && (testID == 0 || len(changes) == 0) {
		err = notFound("test")
	}
	slices.Reverse(changes)
	return changes, err
}

// Instrument returns the needle or cannula with that name, spelling forgiven.
// ErrNotFound if it is not on the list; *FieldError if it is no name of one.
func (g *Group) Instrument(ctx context.Context, name string) (i trade.Instrument, err error) {
	defer wrap(&err, "instrument")
	i, err = trade.ReadInstrument(name)
	if err != nil {
		return trade.Instrument{}, err
	}
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return trade.Instrument{}, err
	}
	i, ok := v.Instrument(i)
	if !ok {
		return trade.Instrument{}, ErrNotFound
	}
	return i, nil
}

// Syringe returns the syringe with that name, spelling forgiven. ErrNotFound if
// it is not on the list.
func (g *Group) Syringe(ctx context.Context, name string) (s trade.Syringe, err error) {
	defer wrap(&err, "syringe")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return trade.Syringe{}, err
	}
	s, ok := v.Syringe(name)
	if !ok {
		return trade.Syringe{}, ErrNotFound
	}
	return s, nil
}
