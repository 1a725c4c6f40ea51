package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"slices"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// replaceInstrument is updateInstrument, and retires the needle or brings it back.
func (g *Group) replaceInstrument(ctx context.Context, q querier, i trade.Instrument) (trade.Instrument, error) {
	if _, err := q.Exec(ctx, `UPDATE instruments SET retired_on = ? WHERE community_id = ? AND id = ?`, i.RetiredOn, g.id, i.ID); err != nil {
		return trade.Instrument{}, err
	}
	return g.updateInstrument(ctx, q, i)
}

// AddInstrumentBy is AddInstrument with a line in the history that says by whom. One
// that was retired is brought back as it is given now.
//
// Errors: as AddInstrument; ErrNotFound for a member that is not there.
func (g *Group) AddInstrumentBy(ctx context.Context, i trade.Instrument, by Member) (added trade.Instrument,
	err error) {
	defer wrap(&err, "add %s", i.Name())
	err = g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return err
		}
		c := listChange{action: AddedAct, by: by}
		if there, is := v.Instrument(i); is && there.RetiredOn != "" {
			i.ID, c.action = there.ID, BroughtBackAct
			added, err = g.replaceInstrument(ctx, q, i)
			c.undo.Needle = &needleChange{Before: &there, After: added}
		} else {
			added, err = g.addInstrument(ctx, q, i)
			c.undo.Needle = &needleChange{After: added}
		}
		if err != nil {
			return err
		}
		c.instrument, c.after = added.ID, measured(added)
		_, err = g.noteListChange(ctx, q, c)
		return err
	})
	return added, err
}

// measured is what is on record of a needle beside its size.
func measured(i trade.Instrument) string {
	text := "wall " + cmp.Or(string(i.Wall), "not on record")
	if i.BoreMM > 0 {
		text += ", bore " + trade.Number(i.BoreMM) + " mm"
	}
	return text + ", " + trade.Number(i.Hub().Millimetres()) + " mm in the hub"
}

// CorrectInstrument makes what is on record of a needle or cannula what change makes of
// it, with a line in the history, and returns it as it is then. Every product tested
// with it is estimated anew.
//
// Errors: *FieldError; the error of change; ErrDuplicate if another goes by its name
// then; ErrNotFound for a needle or member that is not there.
func (g *Group) CorrectInstrument(ctx context.Context, id int64, by Member, reason string,
	change func(*trade.Instrument) error) (i trade.Instrument, err error) {
	defer wrap(&err, "correct a needle or cannula")
	return g.changeInstrument(ctx, id, NeedleSetAct, by, reason, change)
}

// RetireInstrument says that a needle or cannula is no longer used: it is no longer
// suggested, nor asked to be tested, and its tests stay. back takes that back.
//
// Errors: ErrNotFound for a needle or member that is not there.
func (g *Group) RetireInstrument(ctx context.Context, id int64, back bool, by Member,
	reason string) (i trade.Instrument, err error) {
	defer wrap(&err, "retire a needle or cannula")
	day, err := g.retiringDay(ctx, back)
	if err != nil {
		return trade.Instrument{}, err
	}
	action := RetiredAct
	if back {
		action = BroughtBackAct
	}
	return g.changeInstrument(ctx, id, action, by, reason, func(i *trade.Instrument) error {
		if (i.RetiredOn == "") != (day == "") {
			i.RetiredOn = day
		}
		return nil
	})
}

// changeInstrument makes a traced change of one needle or cannula.
func (g *Group) changeInstrument(ctx context.Context, id int64, action Action, by Member, reason string,
	change func(*trade.Instrument) error) (after trade.Instrument, err error) {
	if reason, err = checkReason(reason); err != nil {
		return trade.Instrument{}, err
	}
	err = g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
		before, err := g.instrumentByID(ctx, q, id)
		if err != nil {
			return err
		}
		after = before
		if err := change(&after); err != nil {
			return err
		}
		if after = after.Filled(); after == before {
			return nil // it is so already
		}
		if after, err = g.replaceInstrument(ctx, q, after); err != nil {
			return err
		}
		c := listChange{instrument: id, action: action, by: by, reason: reason,
			undo: undoing{Needle: &needleChange{&before, after}}}
		if action == NeedleSetAct {
			c.before, c.after = measured(before), measured(after)
		}
		_, err = g.noteListChange(ctx, q, c)
		return err
	})
	if err != nil {
		return trade.Instrument{}, err
	}
	_ = g.bringUpToDate(ctx, goBy) // the next question does it
	return after, nil
}

// UnknownWall is a needle or cannula of which neither wall class nor bore is on record.
type UnknownWall struct {
	Instrument trade.Instrument
	Tests      int // kept tests with it
}

// NeedlesWithoutWall returns the needles and cannulas on the list of which neither wall
// class nor bore is on record, those with the most tests first: to say which it is costs
// nothing and narrows every estimate that has them in it.
func (g *Group) NeedlesWithoutWall(ctx context.Context) (open []UnknownWall, err error) {
	defer wrap(&err, "needles without wall class")
	err = g.store.snapshot(ctx, func(q querier) error {
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return err
		}
		type row struct{ instrument, tests int64 }
		rows, err := database.Collect(ctx, q, func(rows *sql.Rows, r *row) error { return rows.Scan(&r.instrument, &r.tests) }, `
			SELECT instrument_id, SUM(kept_tests) FROM tested_combinations WHERE community_id = ? GROUP BY instrument_id`, g.id)
		tests := make(map[int64]int, len(rows))
		for _, r := range rows {
			tests[r.instrument] = int(r.tests)
		}
		for _, i := range v.Instruments {
			if i.Wall == "" && i.BoreMM == 0 && i.RetiredOn == "" {
				open = append(open, UnknownWall{i, tests[i.ID]})
			}
		}
		return err
	})
	slices.SortStableFunc(open, func(a, b UnknownWall) int { return cmp.Compare(b.Tests, a.Tests) })
	return open, err
}
