package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// erasedTables are the tables whose rows belong to a community, those that point
// at others first.
var erasedTables = [...]string{
	"coverage_posts", "unconfirmed",
	"spread_turns", "spreads", "notices", "asked", "appraisals", "verdict_changes", "verdicts", "merged_tests",
	"list_changes", "test_checks", "setup_looks",
	"watches", "batch_results", "batches", "box_items", "claims",
	"slips", "estimates", "tested_combinations", "test_changes", "tests", "imports", "classes",
	"stock", "products_apart", "product_names", "products", "instruments", "syringes", "members",
}

// erase erases one community if it was left before a time: the program may be
// back in its server meanwhile.
func (s *Store) erase(ctx context.Context, ref string, before time.Time) (err error) {
	defer wrap(&err, "erase %q", ref)
	err = s.inTx(ctx, func(q querier) error {
		var id int64
		err := q.Row(ctx, `
			SELECT id FROM communities WHERE ref = ? AND left_at <> '' AND left_at < ?`, ref, formatTime(before),
		).Scan(&id)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		if err != nil {
			return err
		}
		for _, table := range erasedTables {
			if _, err := q.Exec(ctx, `DELETE FROM `+table+` WHERE community_id = ?`, id); err != nil {
				return err
			}
		}
		_, err = q.Exec(ctx, `DELETE FROM communities WHERE id = ?`, id)
		return err
	})
	if err == nil {
		s.forget()
		s.clearTracesNow(ctx)
	}
	return err
}

// clearTracesNow tries once, after an erasure: it is done, whatever comes of this.
func (s *Store) clearTracesNow(ctx context.Context) {
	s.traces.Store(true)
	_, _ = s.ClearTraces(ctx) // what is not done now is told where it is tried again
}

// ClearTraces takes what was erased out of the engine's log, where it can still be
// read after an erasure. done is false where a reader of the store prevents that:
// call it again. Nothing is done where nothing was erased.
func (s *Store) ClearTraces(ctx context.Context) (done bool, err error) {
	defer wrap(&err, "clear traces")
	if !s.traces.Swap(false) {
		return true, nil
	}
	if done, err = s.db.Overwrite(ctx); !done {
		s.traces.Store(true)
	}
	return done, err
}

// forget drops what is kept in memory: the numbers of erased rows may come again
// for rows of others.
func (s *Store) forget() {
	s.vocabularies.Clear()
	s.files.Clear()
	s.added.clear()
}
