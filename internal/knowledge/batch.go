package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// BoxResult is what a bench session found for one place in the box. The test
// needs no combination, that is the item's, and no tester; its day is today if
// empty. One item may have several results.
type BoxResult struct {
	Number int   // 3 for B-3
	ItemID int64 // the item that was meant, 0 whatever waits there now
	Test   BenchTest
}

// BoxOutcome is what became of one result.
type BoxOutcome struct {
	Number  int
	Item    BoxItem     // zero if nothing waits there
	Test    BenchTest   // as stored; zero if it was refused
	Problem *FieldError // why it was refused, nil if it was stored
}

// mostResults bounds one batch.
const mostResults = 100

// LogBatch stores the results of a bench session and says what became of each,
// in their order. The good ones are stored, and their places emptied, all in one
// transaction; a bad one stores nothing and its syringe stays in the box. A batch
// by a key that has been stored already stores nothing: what became of the first
// is returned. The estimates are computed anew before it returns.
//
// Errors: *FieldError for an empty or too long batch; ErrNotFound for a member
// that is not there. Then nothing is stored.
func (g *Group) LogBatch(ctx context.Context, by Member, key string, results []BoxResult) (outcomes []BoxOutcome, err error) {
	defer wrap(&err, "log batch")
	if len(results) == 0 || len(results) > mostResults {
		return nil, refuse("results", "there are %d, want 1 to %d", len(results), mostResults)
	}
	if len(key) > 150 {
		return nil, refuse("request key", "is longer than 150 bytes")
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

func (g *Group) logBatch(ctx context.Context, q querier, by Member, key string, results []BoxResult) ([]BoxOutcome, error) {
	var batch int64
	err := q.row(ctx, `
		INSERT INTO batches (community_id, member_id, request_key, logged_at)
		VALUES (?, ?, ?, ?) RETURNING id`,
		g.id, by.ID, sql.NullString{String: key, Valid: key != ""}, formatTime(g.store.now()),
	).Scan(&batch)
	if err != nil {
		return nil, err
	}
	outcomes := make([]BoxOutcome, len(results))
	refused := make(map[int64]bool) // items with a result that was refused
	for i, result := range results {
		outcomes[i], err = g.logResult(ctx, q, by, result)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", boxLabel(result.Number), err)
		}
		if outcomes[i].Problem != nil {
			refused[outcomes[i].Item.ID] = true
		}
	}
	for i, o := range outcomes {
		if o.Item.ID == 0 || refused[o.Item.ID] {
			continue
		}
		if outcomes[i].Item, err = g.empty(ctx, q, o.Item, BoxTested, by); err != nil {
			return nil, err
		}
	}
	return outcomes, g.keepOutcomes(ctx, q, batch, outcomes)
}

// logResult stores one result if it is good. What is wrong with it is part of
// the outcome; an error is the store's.
func (g *Group) logResult(ctx context.Context, q querier, by Member, r BoxResult) (o BoxOutcome, err error) {
	o.Number = r.Number
	o.Item, err = g.boxPlace(ctx, q, r.Number)
	if errors.Is(err, ErrNotFound) {
		o.Problem = &FieldError{boxLabel(r.Number), "nothing waits there"}
		return o, nil
	}
	if err != nil {
		return o, err
	}
	if r.ItemID != 0 && r.ItemID != o.Item.ID {
		o.Problem, o.Item = &FieldError{boxLabel(r.Number), "another syringe waits there by now"}, BoxItem{}
		return o, nil
	}
	t := r.Test
	t.ID, t.Corrects, t.RequestKey = 0, 0, "" // the batch has a key of its own
	t.Combination, t.Tester = o.Item.Combination, by
	if t.TestedOn == "" {
		if t.TestedOn, err = g.today(ctx, q); err != nil {
			return o, err
		}
	}
	o.Test, err = g.logTest(ctx, q, t)
	if errors.As(err, &o.Problem) {
		o.Test, err = BenchTest{}, nil
	}
	return o, err
}

// keepOutcomes writes down what became of each result, for a repeat.
func (g *Group) keepOutcomes(ctx context.Context, q querier, batch int64, outcomes []BoxOutcome) error {
	for i, o := range outcomes {
		var problem FieldError
		if o.Problem != nil {
			problem = *o.Problem
		}
		if _, err := q.exec(ctx, `
			INSERT INTO batch_results (community_id, batch_id, position, number, item_id, test_id, field, problem)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
			g.id, batch, i, o.Number, nullID(o.Item.ID), nullID(o.Test.ID), problem.Field, problem.Problem); err != nil {
			return err
		}
	}
	return nil
}

// batchByKey returns what became of a batch that was stored by this key, nil if
// none was.
func (g *Group) batchByKey(ctx context.Context, q querier, key string) (outcomes []BoxOutcome, err error) {
	type row struct {
		number     int
		item, test sql.NullInt64
		problem    FieldError
	}
	kept, err := collect(ctx, q, func(rows *sql.Rows, r *row) error {
		return rows.Scan(&r.number, &r.item, &r.test, &r.problem.Field, &r.problem.Problem)
	}, `
		SELECT r.number, r.item_id, r.test_id, r.field, r.problem
		FROM batches b
		JOIN batch_results r ON r.community_id = b.community_id AND r.batch_id = b.id
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
