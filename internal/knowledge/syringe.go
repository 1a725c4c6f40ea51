package knowledge

import (
	"context"
	"slices"

	"holdbench/internal/trade"
)

// AddSyringe adds a syringe and returns it as stored.
//
// Errors: *FieldError; ErrDuplicate if one by the same name is on the list.
func (g *Group) AddSyringe(ctx context.Context, s trade.Syringe) (added trade.Syringe, err error) {
	defer wrap(&err, "add syringe")
	err = g.store.inTx(ctx, func(q querier) error {
		added, err = g.insertSyringe(ctx, q, s)
		return err
	})
	return added, err
}

func (g *Group) insertSyringe(ctx context.Context, q querier, s trade.Syringe) (trade.Syringe, error) {
	s = s.Filled()
	if err := s.Validate(); err != nil {
		return trade.Syringe{}, err
	}
	err := q.Row(ctx, `
		INSERT INTO syringes (number, community_id, name_key, name, fixed_needle, volume_ml, gas_ml)
		VALUES ((SELECT COALESCE(MAX(number), 0) + 1 FROM syringes WHERE community_id = ?), ?, ?, ?, ?, ?, ?)
		RETURNING id, number`,
		g.id, g.id, trade.Fold(s.Name), s.Name, s.FixedNeedle, s.VolumeML, s.GasML,
	).Scan(&s.ID, &s.Number)
	if err != nil {
		return trade.Syringe{}, err
	}
	return s, g.bumpVocabulary(ctx, q)
}

// Syringes returns the syringes in the order added.
func (g *Group) Syringes(ctx context.Context) (syringes []trade.Syringe, err error) {
	defer wrap(&err, "syringes")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(v.Syringes), nil
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
