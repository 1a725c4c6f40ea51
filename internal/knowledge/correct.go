package knowledge

import (
	"context"
	"time"

	"holdbench/internal/database"
)

// CorrectTest withdraws the test with that number as corrected, logs t in its place, in one
// transaction, and returns the new test. The old one stays on record. The caller checks that
// by may do so: its maker, or a trainer.
//
// Errors: as WithdrawTest and LogTest.
func (g *Group) CorrectTest(ctx context.Context, id int64, t BenchTest, by Member, reason string) (logged BenchTest,
	err error) {
	defer wrap(&err, "correct test %d", id)
	var old BenchTest
	err = g.store.inTx(ctx, func(q querier) error {
		if t.RequestKey != "" {
			first, err := g.testByKey(ctx, q, t.RequestKey)
			if err == nil && first.Corrects == id {
				logged, old = first, first // the same request has done it before
				return nil
			}
		}
		if old, err = g.setState(ctx, q, id, Withdrawn, CorrectedAct, by, reason); err != nil {
			return err
		}
		t.Corrects = id
		if logged, err = g.logTest(ctx, q, t); err != nil {
			return err
		}
		return g.followCorrection(ctx, q, old, logged)
	})
	if err != nil {
		return BenchTest{}, err
	}
	g.estimated(ctx, old) // the correction may name another product
	return g.estimated(ctx, logged), nil
}

// Correction is a test that somebody other than its maker corrected.
type Correction struct {
	Old, New BenchTest
	By       Member
	At       time.Time
	Reason   string
}

// Corrections returns the corrections since a moment, that moment included, that somebody
// other than the maker made and that still count, in the order made. Those of an erased
// maker's tests are left out.
func (g *Group) Corrections(ctx context.Context, since time.Time) (made []Correction, err error) {
	defer wrap(&err, "corrections")
	err = g.store.snapshot(ctx, func(q querier) error {
		changes, err := database.Collect(ctx, q, scanChange, `
			SELECT t.number, c.action, c.changed_at, c.reason, m.id, m.ref, m.name, m.role
			FROM test_changes c
			JOIN tests t ON t.community_id = c.community_id AND t.id = c.test_id
			JOIN members m ON m.community_id = c.community_id AND m.id = c.member_id
			WHERE c.community_id = ? AND c.action = ? AND c.changed_at >= ? AND c.member_id <> t.tester_id
			ORDER BY c.id`, g.id, CorrectedAct, formatTime(since))
		for _, c := range changes {
			old, err := g.test(ctx, q, c.TestID)
			if err != nil {
				return err
			}
			stands, err := g.standsInFor(ctx, q, c.TestID)
			if err != nil {
				return err
			}
			if stands != nil && !old.Tester.former() {
				made = append(made, Correction{Old: old, New: *stands, By: c.By, At: c.At, Reason: c.Reason})
			}
		}
		return err
	})
	return made, err
}
