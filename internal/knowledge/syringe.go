package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"holdbench/internal/trade"
)

// syringeList is the list of syringes.
func (g *Group) syringeList() toolList[trade.Syringe] {
	return toolList[trade.Syringe]{
		what: "syringe",
		lists: func(v *Vocabulary) ([]trade.Syringe, map[int64]int, map[string]int) {
			return v.Syringes, v.syringeByID, v.syringeByKey
		},
		name:   func(s trade.Syringe) string { return s.Name },
		parts:  func(s *trade.Syringe) (*int64, *string) { return &s.ID, &s.RetiredOn },
		filled: trade.Syringe.Filled,
		add:    g.insertSyringe, put: g.updateSyringe,
		told: trapped,
		line: func(id int64) listChange { return listChange{syringe: id} },
	}
}

// trapped is what the model uses of a syringe, with the name if other has another.
func trapped(s, other trade.Syringe) string {
	text := trade.Number(s.GasML) + " mL of gas behind the gel"
	if s.Name != other.Name {
		text = s.Name + ", " + text
	}
	return text
}

// AddSyringe adds a syringe and returns it as stored.
//
// Errors: *FieldError; ErrDuplicate if one by the same name is on the list.
func (g *Group) AddSyringe(ctx context.Context, s trade.Syringe) (added trade.Syringe, err error) {
	defer wrap(&err, "add syringe")
	return resultOf(ctx, g.store.inTx, func(q querier) (trade.Syringe, error) {
		return g.insertSyringe(ctx, q, s)
	})
}

func (g *Group) insertSyringe(ctx context.Context, q querier, s trade.Syringe) (trade.Syringe, error) {
	s = s.Filled()
	if err := s.Validate(); err != nil {
		return trade.Syringe{}, err
	}
	err := q.Row(ctx, `
		INSERT INTO syringes (number, community_id, name_key, name, fixed_needle, volume_ml, gas_ml, retired_on)
		VALUES ((SELECT COALESCE(MAX(number), 0) + 1 FROM syringes WHERE community_id = ?), ?, ?, ?, ?, ?, ?, ?)
		RETURNING id, number`,
		g.id, g.id, trade.Fold(s.Name), s.Name, s.FixedNeedle, s.VolumeML, s.GasML, s.RetiredOn,
	).Scan(&s.ID, &s.Number)
	if err != nil {
		return trade.Syringe{}, err
	}
	return s, g.bumpVocabulary(ctx, q)
}

func (g *Group) updateSyringe(ctx context.Context, q querier, s trade.Syringe) (trade.Syringe, error) {
	s = s.Filled()
	if err := s.Validate(); err != nil {
		return trade.Syringe{}, err
	}
	err := q.Row(ctx, `
		UPDATE syringes
		SET name_key = ?, name = ?, fixed_needle = ?, volume_ml = ?, gas_ml = ?, retired_on = ?
		WHERE community_id = ? AND id = ?
		RETURNING number`,
		trade.Fold(s.Name), s.Name, s.FixedNeedle, s.VolumeML, s.GasML, s.RetiredOn, g.id, s.ID,
	).Scan(&s.Number)
	if errors.Is(err, sql.ErrNoRows) {
		return trade.Syringe{}, notFound("syringe")
	}
	if err != nil {
		return trade.Syringe{}, err
	}
	if err := g.testedWith(ctx, q, "syringe_id", s.ID); err != nil {
		return trade.Syringe{}, err
	}
	return s, g.bumpVocabulary(ctx, q)
}

// AddSyringeBy is AddSyringe with a line in the history that says by whom. A retired one is
// brought back with what is given now.
//
// Errors: as AddSyringe; ErrNotFound for a member that is not there.
func (g *Group) AddSyringeBy(ctx context.Context, s trade.Syringe, by Member) (added trade.Syringe, err error) {
	defer wrap(&err, "add syringe")
	return g.syringeList().addBy(ctx, g, s.Filled(), by)
}

// CorrectSyringe corrects what is on record of a syringe by change, with a line in the
// history, and returns it as stored. Every product tested with it is estimated anew.
//
// Errors: *FieldError; the error of change; ErrDuplicate if another goes by its name
// then; ErrNotFound for a syringe or member that is not there.
func (g *Group) CorrectSyringe(ctx context.Context, id int64, by Member, reason string,
	change func(*trade.Syringe) error) (s trade.Syringe, err error) {
	defer wrap(&err, "correct a syringe")
	return g.syringeList().change(ctx, g, id, PutRightAct, by, reason, change)
}

// RetireSyringe retires a syringe, as RetireInstrument does a needle. The supplied one cannot
// be retired: it is meant when no syringe is said.
//
// Errors: *FieldError for the supplied one; ErrNotFound for a syringe or member that is
// not there.
func (g *Group) RetireSyringe(ctx context.Context, id int64, back bool, by Member,
	reason string) (s trade.Syringe, err error) {
	defer wrap(&err, "retire a syringe")
	if s, err = g.syringeList().byID(ctx, g, g.store.look(), id); err == nil && s.IsSupplied() {
		return s, trade.Refuse("syringe", "the supplied one is what is meant where none is said; it stays in use")
	}
	if err != nil {
		return s, err
	}
	return g.syringeList().retire(ctx, g, id, back, by, reason)
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
