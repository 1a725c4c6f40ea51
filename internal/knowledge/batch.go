package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// BoxResult is what a bench session found for one place in the box. The test
// needs no combination, that is the item's, and no tester; its day is today if
// empty. One item may have several results.
type BoxResult struct {
	Number int   // 3 for B-3
	ItemID int64 // the item that was meant, 0 for whichever waits there now
	Test   BenchTest
}

// BoxOutcome is what became of one result.
type BoxOutcome struct {
	Number  int
	Item    BoxItem           // zero if nothing waits there
	Test    BenchTest         // as stored; zero if it was refused
	Problem *trade.FieldError // why it was refused, nil if it was stored
	Earlier []BenchTest       // if nothing waits there, the tests logged of the last syringe of the place
}

// mostResults bounds one batch.
const mostResults = 100

// LogBatch stores the results of a bench session and says what became of each, in their
// order. One transaction stores the good results and empties their places. A bad result keeps
// back all results of its syringe, which stays in the box. So a message can be put right and
// sent again whole: what is logged has left the box, and its place is not given out again for
// a day. A batch whose key has been stored before stores nothing; the outcomes of the first
// are returned. LogBatch waits for the estimates as LogTest does.
//
// Errors: *FieldError for an empty or too long batch; ErrNotFound for a member
// that is not there. Then nothing is stored.
func (g *Group) LogBatch(ctx context.Context, by Member, key string, results []BoxResult) (outcomes []BoxOutcome,
	err error) {
	defer wrap(&err, "log batch")
	if len(results) == 0 || len(results) > mostResults {
		return nil, trade.Refuse("results", "there are %d, want 1 to %d", len(results), mostResults)
	}
	if len(key) > 150 {
		return nil, trade.Refuse("request key", "is longer than 150 bytes")
	}
	err = g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
		if outcomes, err = g.batchByKey(ctx, q, key); err != nil || outcomes != nil {
			return err
		}
		outcomes, err = g.logBatch(ctx, q, by, key, results)
		return err
	})
	if err != nil {
		return nil, err
	}
	for i, o := range outcomes {
		if o.Problem == nil {
			outcomes[i].Test = g.estimated(ctx, o.Test)
		}
	}
	return outcomes, nil
}

func (g *Group) logBatch(ctx context.Context, q querier, by Member, key string, results []BoxResult) ([]BoxOutcome,
	error) {
	var batch int64
	err := q.Row(ctx, `
		INSERT INTO batches (community_id, member_id, request_key, logged_at)
		VALUES (?, ?, ?, ?) RETURNING id`,
		g.id, by.ID, sql.NullString{String: key, Valid: key != ""}, formatTime(g.store.now()),
	).Scan(&batch)
	if err != nil {
		return nil, err
	}
	outcomes, tests, err := g.checkResults(ctx, q, by, results)
	if err != nil {
		return nil, err
	}
	for i, o := range outcomes {
		if o.Problem != nil {
			continue
		}
		if outcomes[i].Test, err = g.logTest(ctx, q, tests[i]); err != nil {
			return nil, fmt.Errorf("%s: %w", boxLabel(o.Number), err)
		}
		if outcomes[i].Item, err = g.empty(ctx, q, o.Item, BoxTested, by); err != nil {
			return nil, err
		}
	}
	return outcomes, g.keepOutcomes(ctx, q, batch, outcomes)
}

// checkResults finds the syringe of each result and checks each test against the rules,
// before anything is stored. A bad result keeps back all results of the same syringe, which
// stays in the box: they are sent again together.
func (g *Group) checkResults(ctx context.Context, q querier, by Member, results []BoxResult) ([]BoxOutcome, []BenchTest,
	error) {
	outcomes, tests := make([]BoxOutcome, len(results)), make([]BenchTest, len(results))
	refused := make(map[int64]bool) // items with a result that was refused
	for i, result := range results {
		var err error
		if outcomes[i], tests[i], err = g.checkResult(ctx, q, by, result); err != nil {
			return nil, nil, fmt.Errorf("%s: %w", boxLabel(result.Number), err)
		}
		if outcomes[i].Problem != nil {
			refused[outcomes[i].Item.ID] = true
		}
	}
	for i, o := range outcomes {
		if o.Problem == nil && refused[o.Item.ID] {
			outcomes[i].Problem = &trade.FieldError{Field: boxLabel(o.Number),
				Problem: "is kept back with another result of the same syringe"}
		}
	}
	return outcomes, tests, nil
}

// checkResult finds the syringe of one result and returns the test as it is to be stored.
// What is wrong with the result is part of the outcome; err is the store's.
func (g *Group) checkResult(ctx context.Context, q querier, by Member, r BoxResult) (o BoxOutcome, t BenchTest,
	err error) {
	o.Number = r.Number
	o.Item, err = g.boxPlace(ctx, q, r.Number)
	if errors.Is(err, ErrNotFound) {
		o.Problem = &trade.FieldError{Field: boxLabel(r.Number), Problem: "nothing waits there"}
		if o.Earlier, err = g.earlier(ctx, q, r.Number); len(o.Earlier) > 0 {
			o.Problem.Problem = "is logged already"
		}
		return o, t, err
	}
	if err != nil {
		return o, t, err
	}
	if r.ItemID != 0 && r.ItemID != o.Item.ID {
		o.Problem, o.Item = &trade.FieldError{Field: boxLabel(r.Number), Problem: "another syringe waits there by now"},
			BoxItem{}
		return o, t, nil
	}
	t = r.Test
	t.ID, t.Corrects, t.RequestKey = 0, 0, "" // the batch has a key of its own
	t.Combination, t.Tester = o.Item.Combination, by
	if t.Lot == (trade.Lot{}) {
		t.Lot = o.Item.Lot
	}
	if t.TestedOn == "" {
		if t.TestedOn, err = g.today(ctx, q); err != nil {
			return o, t, err
		}
	}
	t = t.filled()
	_, err = g.checkTest(ctx, q, t)
	if errors.As(err, &o.Problem) {
		err = nil
	}
	return o, t, err
}

// earlier returns the tests logged of the last syringe that left a place, none if it left
// untested.
func (g *Group) earlier(ctx context.Context, q querier, number int) (tests []BenchTest, err error) {
	ids, err := database.Collect(ctx, q, database.Column[int64], `
		SELECT t.number
		FROM batch_results r
		JOIN tests t ON t.community_id = r.community_id AND t.id = r.test_id
		WHERE r.community_id = ? AND r.item_id = (
			SELECT b.id FROM box_items b
			WHERE b.community_id = ? AND b.number = ? AND b.left_at <> ''
			ORDER BY b.left_at DESC, b.id DESC LIMIT 1)
		ORDER BY r.batch_id, r.position`, g.id, g.id, number)
	for _, id := range ids {
		t, err := g.test(ctx, q, id)
		if err != nil {
			return nil, err
		}
		tests = append(tests, t)
	}
	return tests, err
}

// keepOutcomes stores what became of each result, for a batch that is sent again.
func (g *Group) keepOutcomes(ctx context.Context, q querier, batch int64, outcomes []BoxOutcome) error {
	for i, o := range outcomes {
		var problem trade.FieldError
		if o.Problem != nil {
			problem = *o.Problem
		}
		if _, err := q.Exec(ctx, `
			INSERT INTO batch_results (community_id, batch_id, position, number, item_id, test_id, field, problem)
			VALUES (?, ?, ?, ?, ?, `+testRow+`, ?, ?)`,
			g.id, batch, i, o.Number, nullID(o.Item.ID), g.id, o.Test.ID, problem.Field, problem.Problem); err != nil {
			return err
		}
	}
	return nil
}

// batchByKey returns what became of the batch that was stored by this key, nil if none was.
func (g *Group) batchByKey(ctx context.Context, q querier, key string) (outcomes []BoxOutcome, err error) {
	type row struct {
		number     int
		item, test sql.NullInt64
		problem    trade.FieldError
	}
	kept, err := database.Collect(ctx, q, func(rows *sql.Rows, r *row) error {
		return rows.Scan(&r.number, &r.item, &r.test, &r.problem.Field, &r.problem.Problem)
	}, `
		SELECT r.number, r.item_id, t.number, r.field, r.problem
		FROM batches b
		JOIN batch_results r ON r.community_id = b.community_id AND r.batch_id = b.id
		LEFT JOIN tests t ON t.community_id = r.community_id AND t.id = r.test_id
		WHERE b.community_id = ? AND b.request_key = ? ORDER BY r.position`, g.id, key)
	for _, r := range kept {
		o := BoxOutcome{Number: r.number}
		if !r.test.Valid {
			o.Problem = &r.problem
		} else if o.Test, err = g.test(ctx, q, r.test.Int64); err != nil {
			return nil, err
		}
		if r.item.Valid {
			items, err := g.readBox(ctx, q, `b.community_id = ? AND b.id = ?`, g.id, r.item.Int64)
			if err != nil || len(items) == 0 {
				return nil, errors.Join(err, sql.ErrNoRows)
			}
			o.Item = items[0]
		}
		outcomes = append(outcomes, o)
	}
	return outcomes, err
}
