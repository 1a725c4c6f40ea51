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
	"spread_turns", "spreads", "notices", "asked", "appraisals", "verdict_changes", "verdicts", "merged_tests",
	"product_changes", "test_checks", "setup_looks",
	"batch_results", "batches", "box_items", "claims",
	"slips", "estimates", "tested_combinations", "test_changes", "tests",
	"stock", "product_names", "products", "instruments", "syringes", "members",
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
	}
	return err
}

// forget drops what is kept in memory: the numbers of erased rows may come again
// for rows of others.
func (s *Store) forget() {
	s.vocabularies.Clear()
	s.files.Clear()
}
