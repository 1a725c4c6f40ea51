package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"holdbench/internal/trade"
)

// instrumentKey is the key that is unique on the list: the folded name, which leaves out the
// bore.
func instrumentKey(i trade.Instrument) string { return trade.Fold(i.Name()) }

// AddInstrument adds a needle or cannula and returns it as stored.
//
// Errors: *FieldError; ErrDuplicate if one by the same name is on the list.
func (g *Group) AddInstrument(ctx context.Context, i trade.Instrument) (added trade.Instrument, err error) {
	defer wrap(&err, "add %s", i.Name())
	return resultOf(ctx, g.store.inTx, func(q querier) (trade.Instrument, error) {
		return g.addInstrument(ctx, q, i)
	})
}

func (g *Group) addInstrument(ctx context.Context, q querier, i trade.Instrument) (trade.Instrument, error) {
	i = i.Filled()
	if err := i.Validate(); err != nil {
		return trade.Instrument{}, err
	}
	err := q.Row(ctx, `
		INSERT INTO instruments (number, community_id, name_key, kind, gauge, length_mm, wall, bore_mm, hub_mm, retired_on)
		VALUES ((SELECT COALESCE(MAX(number), 0) + 1 FROM instruments WHERE community_id = ?), ?, ?, ?, ?, ?, ?, ?, ?, ?)
		RETURNING id, number`,
		g.id, g.id, instrumentKey(i), i.Kind, i.Gauge, i.LengthMM, i.Wall, i.BoreMM, i.HubMM, i.RetiredOn,
	).Scan(&i.ID, &i.Number)
	if err != nil {
		return trade.Instrument{}, err
	}
	return i, g.bumpVocabulary(ctx, q)
}

// updateInstrument replaces what is on record of the instrument with i.ID. Every product
// tested with it is estimated anew.
//
// Errors: *FieldError; ErrNotFound; ErrDuplicate as for AddInstrument.
func (g *Group) updateInstrument(ctx context.Context, q querier, i trade.Instrument) (trade.Instrument, error) {
	i = i.Filled()
	if err := i.Validate(); err != nil {
		return trade.Instrument{}, err
	}
	err := q.Row(ctx, `
		UPDATE instruments
		SET name_key = ?, kind = ?, gauge = ?, length_mm = ?, wall = ?, bore_mm = ?, hub_mm = ?, retired_on = ?
		WHERE community_id = ? AND id = ?
		RETURNING number`,
		instrumentKey(i), i.Kind, i.Gauge, i.LengthMM, i.Wall, i.BoreMM, i.HubMM, i.RetiredOn, g.id, i.ID,
	).Scan(&i.Number)
	if errors.Is(err, sql.ErrNoRows) {
		return trade.Instrument{}, notFound("needle or cannula")
	}
	if err != nil {
		return trade.Instrument{}, err
	}
	if err := g.testedWith(ctx, q, "instrument_id", i.ID); err != nil {
		return trade.Instrument{}, err
	}
	return i, g.bumpVocabulary(ctx, q)
}

// Instruments returns the needles and cannulas in the order added.
func (g *Group) Instruments(ctx context.Context) (instruments []trade.Instrument, err error) {
	defer wrap(&err, "instruments")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(v.Instruments), nil
}
