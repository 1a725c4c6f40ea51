package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"slices"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// instrumentList is the list of needles and cannulas.
func (g *Group) instrumentList() toolList[trade.Instrument] {
	return toolList[trade.Instrument]{
		what: "needle or cannula",
		lists: func(v *Vocabulary) ([]trade.Instrument, map[int64]int, map[string]int) {
			return v.Instruments, v.instrumentByID, v.instrumentKey
		},
		name:   trade.Instrument.Name,
		parts:  func(i *trade.Instrument) (*int64, *string) { return &i.ID, &i.RetiredOn },
		filled: trade.Instrument.Filled,
		add:    g.addInstrument, put: g.updateInstrument,
		told: func(i, _ trade.Instrument) string { return measured(i) },
		line: func(id int64) listChange { return listChange{instrument: id} },
	}
}

// AddInstrumentBy is AddInstrument with a line in the history that says by whom. A retired
// one is brought back with what is given now.
//
// Errors: as AddInstrument; ErrNotFound for a member that is not there.
func (g *Group) AddInstrumentBy(ctx context.Context, i trade.Instrument, by Member) (added trade.Instrument,
	err error) {
	defer wrap(&err, "add %s", i.Name())
	return g.instrumentList().addBy(ctx, g, i, by)
}

// measured is what is on record of a needle besides its size.
func measured(i trade.Instrument) string {
	text := "wall " + cmp.Or(string(i.Wall), "not on record")
	if i.BoreMM > 0 {
		text += ", bore " + trade.Number(i.BoreMM) + " mm"
	}
	return text + ", " + trade.Number(i.Hub().Millimetres()) + " mm in the hub"
}

// CorrectInstrument corrects what is on record of a needle or cannula by change, with a line
// in the history, and returns it as stored. Every product tested with it is estimated anew.
//
// Errors: *FieldError; the error of change; ErrDuplicate if another goes by its name
// then; ErrNotFound for a needle or member that is not there.
func (g *Group) CorrectInstrument(ctx context.Context, id int64, by Member, reason string,
	change func(*trade.Instrument) error) (i trade.Instrument, err error) {
	defer wrap(&err, "correct a needle or cannula")
	return g.instrumentList().change(ctx, g, id, PutRightAct, by, reason, change)
}

// RetireInstrument retires a needle or cannula: it is no longer suggested, and no tests with
// it are asked for. Its tests stay. With back it is in use again.
//
// Errors: ErrNotFound for a needle or member that is not there.
func (g *Group) RetireInstrument(ctx context.Context, id int64, back bool, by Member,
	reason string) (i trade.Instrument, err error) {
	defer wrap(&err, "retire a needle or cannula")
	return g.instrumentList().retire(ctx, g, id, back, by, reason)
}

// UnknownWall is a needle or cannula without a wall class or bore on record.
type UnknownWall struct {
	Instrument trade.Instrument
	Tests      int // kept tests with it
}

// NeedlesWithoutWall returns the needles and cannulas in use without a wall class or bore on
// record, those with the most tests first. Recording either narrows every estimate with them.
func (g *Group) NeedlesWithoutWall(ctx context.Context) (open []UnknownWall, err error) {
	defer wrap(&err, "needles without wall class")
	err = g.store.snapshot(ctx, func(q querier) error {
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return err
		}
		type row struct{ instrument, tests int64 }
		rows, err := database.Collect(ctx, q, func(rows *sql.Rows, r *row) error {
			return rows.Scan(&r.instrument, &r.tests)
		}, `
			SELECT instrument_id, SUM(kept_tests)
			FROM tested_combinations WHERE community_id = ? GROUP BY instrument_id`, g.id)
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
