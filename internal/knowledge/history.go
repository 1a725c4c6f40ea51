package knowledge

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	"holdbench/internal/trade"
)

// Change is one line of the history of a test.
type Change struct {
	TestID int64
	Action Action
	By     Member // who did it; for a test from a file, who brought it in, or else the tester
	At     time.Time
	Reason string // "" for a test that came into the log
}

// Action is what was done to a test, the lists or the settings.
type Action string

// The actions.
const (
	Logged       Action = byHand
	Imported     Action = fromFile
	WithdrawnAct Action = "withdrawn"
	RestoredAct  Action = "restored"
	CorrectedAct Action = "corrected" // withdrawn, and another logged in its place
)

// WithdrawTest withdraws a test, which stays on record and no longer counts. It returns
// the test as withdrawn. The estimate is computed anew.
//
// Errors: *FieldError if no reason is given or the test is withdrawn already;
// ErrNotFound for a test or member that is not there.
func (g *Group) WithdrawTest(ctx context.Context, id int64, by Member, reason string) (t BenchTest, err error) {
	defer wrap(&err, "withdraw test %d", id)
	err = g.store.inTx(ctx, func(q querier) error {
		t, err = g.setState(ctx, q, id, Withdrawn, WithdrawnAct, by, reason)
		return err
	})
	if err != nil {
		return BenchTest{}, err
	}
	return g.estimated(ctx, t), nil
}

// RestoreTest makes a withdrawn test count again and returns it as restored. If a
// correction counts in its place, that one is withdrawn: a trial counts once.
//
// Errors: as WithdrawTest, for a test that counts already.
func (g *Group) RestoreTest(ctx context.Context, id int64, by Member, reason string) (t BenchTest, err error) {
	defer wrap(&err, "restore test %d", id)
	var other *BenchTest
	err = g.store.inTx(ctx, func(q querier) error {
		if t, err = g.setState(ctx, q, id, Kept, RestoredAct, by, reason); err != nil {
			return err
		}
		if other, err = g.standsInFor(ctx, q, id); err != nil || other == nil {
			return err
		}
		if _, err := g.setState(ctx, q, other.ID, Withdrawn, WithdrawnAct, by,
			fmt.Sprintf("test %d counts again", id)); err != nil {
			return err
		}
		return g.followCorrection(ctx, q, *other, t)
	})
	if err != nil {
		return BenchTest{}, err
	}
	if other != nil {
		g.estimated(ctx, *other)
	}
	return g.estimated(ctx, t), nil
}

// standsInFor returns the correction that counts in place of a test, nil if there is none.
func (g *Group) standsInFor(ctx context.Context, q querier, id int64) (*BenchTest, error) {
	tests, err := g.readTests(ctx, q, `t.community_id = ? AND o.number = ?`, g.id, id)
	for _, t := range tests {
		if t.State == Kept {
			return &t, nil
		}
		if later, err := g.standsInFor(ctx, q, t.ID); err != nil || later != nil {
			return later, err
		}
	}
	return nil, err
}

// StandsInFor returns the correction that counts in place of a test. ErrNotFound if there
// is none.
func (g *Group) StandsInFor(ctx context.Context, id int64) (t BenchTest, err error) {
	defer wrap(&err, "what stands in for test %d", id)
	err = g.store.snapshot(ctx, func(q querier) error {
		other, err := g.standsInFor(ctx, q, id)
		if err == nil && other == nil {
			err = notFound("test")
		}
		if err == nil {
			t = *other
		}
		return err
	})
	return t, err
}

// setState keeps or withdraws a test and records who did it and why.
func (g *Group) setState(ctx context.Context, q querier, id int64, to State, action Action, by Member,
	reason string) (BenchTest, error) {
	reason = trade.Tidy(reason)
	if reason == "" {
		return BenchTest{}, trade.Refuse("reason", "is missing; it stays on record with the test")
	}
	if err := trade.CheckFreeText("reason", reason); err != nil {
		return BenchTest{}, err
	}
	by, err := g.resolveMember(ctx, q, by)
	if err != nil {
		return BenchTest{}, err
	}
	t, err := g.test(ctx, q, id)
	if err != nil {
		return BenchTest{}, err
	}
	if t.State == to {
		return BenchTest{}, trade.Refuse("test", "number %d is %s already", id, to)
	}
	t.State, t.Slip = to, 0
	if err := q.do(ctx, `
		UPDATE tests SET state = ? WHERE community_id = ? AND number = ?`, to, g.id, id); err != nil {
		return BenchTest{}, err
	}
	if err := q.do(ctx, `
		DELETE FROM slips WHERE community_id = ? AND test_id = `+testRow, g.id, g.id, id); err != nil {
		return BenchTest{}, err
	}
	if err := q.do(ctx, `
		INSERT INTO test_changes (community_id, test_id, action, member_id, changed_at, reason)
		VALUES (?, `+testRow+`, ?, ?, ?, ?)`,
		g.id, g.id, id, action, by.ID, formatTime(g.store.now()), reason); err != nil {
		return BenchTest{}, err
	}
	change := +1
	if to == Withdrawn {
		change = -1
	}
	_, err = g.tally(ctx, q, t, change)
	return t, err
}

func scanChange(rows *sql.Rows, c *Change) error {
	return rows.Scan(&c.TestID, &c.Action, timeColumn{&c.At}, &c.Reason, &c.By.ID, &c.By.Ref, &c.By.Name, &c.By.Role)
}
