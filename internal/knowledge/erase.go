package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// erasedTables are the tables with rows of a community, ordered so that rows go before the
// rows that they point at.
var erasedTables = [...]string{
	"coverage_posts", "unconfirmed",
	"spread_turns", "spreads", "notices", "asked", "appraisals", "verdict_changes", "verdicts", "merged_tests",
	"list_changes", "test_checks", "setup_looks",
	"watches", "batch_results", "batches", "box_items", "claims",
	"slips", "estimates", "tested_combinations", "test_changes", "tests", "imports", "classes",
	"stock", "products_apart", "product_names", "products", "instruments", "syringes", "members",
}

// erase erases a community if the program left its server before a time. It may be back by
// now.
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
			if err := q.do(ctx, `DELETE FROM `+table+` WHERE community_id = ?`, id); err != nil {
				return err
			}
		}
		return q.do(ctx, `DELETE FROM communities WHERE id = ?`, id)
	})
	if err == nil {
		s.forget()
		s.clearTracesNow(ctx)
	}
	return err
}

// clearTracesNow tries once to clear the traces of an erasure.
func (s *Store) clearTracesNow(ctx context.Context) {
	s.traces.Store(true)
	_, _ = s.ClearTraces(ctx) // if it fails, a job tries again and reports it
}

// ClearTraces removes what was erased from the engine's log, where it could still be read.
// done is false if a reader of the store prevents that; call it again. It does nothing if
// nothing was erased.
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

// forget empties the caches: the row numbers of what was erased may be used again.
func (s *Store) forget() {
	s.vocabularies.Clear()
	s.files.Clear()
	s.added.clear()
}
