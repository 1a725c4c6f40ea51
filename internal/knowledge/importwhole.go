package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// importLease is how long after its last part an import belongs to the program that began it
// (project's choice): a part takes a second, and some more while others write. After that
// another program may take the import away, and a later part is refused.
const importLease = time.Minute

// awayAtOnce tests are taken away in one transaction, so that others wait for less than half
// a second.
const awayAtOnce = 2000

// ErrImporting: another file of tests is coming in, and it is not yet known whether it stays.
var ErrImporting = errors.New("another file of tests is being taken in; try again in a minute")

// lastNumber is the highest number that a test of the community has or had; it takes the
// community twice. The numbers of tests that were taken away with a file are not used again.
const lastNumber = `COALESCE((SELECT MAX(number) FROM (
	SELECT MAX(number) AS number FROM tests WHERE community_id = ?
	UNION ALL SELECT MAX(last_number) FROM imports WHERE community_id = ?) given), 0)`

// part records, within a part's transaction and before its tests are stored, that the import
// goes on, and with the last part that the file is whole. A file of a single part is not
// recorded. It is refused while another is half there: tests that this file takes for stored
// could be taken away again.
func (in *testImport) part(ctx context.Context, q querier, last bool) error {
	now := formatTime(in.g.store.now())
	if in.file == 0 {
		if err := in.g.noneComing(ctx, q); err != nil || last {
			return err
		}
		return q.Row(ctx, `
			INSERT INTO imports (community_id, member_id, begun_at, part_at, state) VALUES (?, ?, ?, ?, 'going on')
			RETURNING id`, in.g.id, nullID(in.by.ID), now, now).Scan(&in.file)
	}
	state := "going on"
	if last {
		state = "whole"
	}
	mine, err := q.Exec(ctx, `
		UPDATE imports SET part_at = ?, state = ? WHERE community_id = ? AND id = ? AND state = 'going on'`,
		now, state, in.g.id, in.file)
	if err == nil && mine == 0 {
		err = errors.New("the import stood still for too long and was given up")
	}
	return err
}

// noneComing is ErrImporting while a file comes in or is being taken away.
func (g *Group) noneComing(ctx context.Context, q querier) error {
	var open int
	err := q.Row(ctx, `
		SELECT COUNT(*) FROM imports WHERE community_id = ? AND state IN ('going on', 'stopped')`, g.id).Scan(&open)
	if err == nil && open > 0 {
		err = ErrImporting
	}
	return err
}

// failed takes away what is stored of a file that cannot be stored whole.
func (in *testImport) failed(ctx context.Context, fault error) error {
	ctx = context.WithoutCancel(ctx) // after a cancellation, too
	if err := in.g.takeAway(ctx, in.file); err != nil {
		return fmt.Errorf("%w; the tests stored so far will be taken away by a running bot, or when the store is next "+
			"opened: %w", fault, err)
	}
	return fmt.Errorf("no test of the file is stored; names that it brought are on the lists: %w", fault)
}

// takeAway takes away the tests of an import that is not whole, awayAtOnce at a time, and
// lets others write in between.
func (g *Group) takeAway(ctx context.Context, file int64) error {
	for more := true; more; time.Sleep(partPause) {
		err := g.store.inTx(ctx, func(q querier) (err error) {
			more, err = g.takeSomeAway(ctx, q, file)
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// takeSomeAway takes away the latest tests of an import with what belongs to them. A test
// that somebody has corrected meanwhile stays with its correction: otherwise the same file
// would bring it once more, beside the correction.
func (g *Group) takeSomeAway(ctx context.Context, q querier, file int64) (more bool, err error) {
	open, err := q.Exec(ctx, `
		UPDATE imports SET state = 'stopped',
		       last_number = (SELECT MAX(n) FROM (
		           SELECT last_number AS n FROM imports WHERE community_id = ? AND id = ?
		           UNION ALL SELECT MAX(number) FROM tests WHERE community_id = ? AND import_id = ?) given)
		WHERE community_id = ? AND id = ? AND state IN ('going on', 'stopped')`, g.id, file, g.id, file, g.id, file)
	if err != nil || open == 0 {
		return false, err // another program has done it
	}
	some, err := g.readAway(ctx, q, file)
	if err != nil {
		return false, err
	}
	if len(some) == 0 {
		_, err := q.Exec(ctx, `UPDATE imports SET state = 'taken away' WHERE community_id = ? AND id = ?`, g.id, file)
		return false, err
	}
	earliest := some[len(some)-1].id
	if _, err := q.Exec(ctx, `
		UPDATE tests SET import_id = NULL WHERE community_id = ? AND import_id = ? AND id >= ? AND EXISTS (
			SELECT 1 FROM tests c WHERE c.corrects_id = tests.id)`, g.id, file, earliest); err != nil {
		return false, err
	}
	const those = `(SELECT id FROM tests WHERE community_id = ? AND import_id = ? AND id >= ?)`
	for _, table := range []string{"slips", "test_changes", "test_checks", "merged_tests"} {
		if _, err := q.Exec(ctx, `DELETE FROM `+table+` WHERE community_id = ? AND test_id IN `+those,
			g.id, g.id, file, earliest); err != nil {
			return false, err
		}
	}
	if _, err := q.Exec(ctx, `
		DELETE FROM tests WHERE community_id = ? AND import_id = ? AND id >= ?`, g.id, file, earliest); err != nil {
		return false, err
	}
	return true, g.countAway(ctx, q, some)
}

// awayTest is a test that is taken away.
type awayTest struct {
	id   int64
	k    combinationKey
	kept int // 1 for a test that counted, else 0
}

// readAway reads the latest tests of an import, the latest first.
func (g *Group) readAway(ctx context.Context, q querier, file int64) ([]awayTest, error) {
	return database.Collect(ctx, q, func(rows *sql.Rows, t *awayTest) error {
		return rows.Scan(&t.id, &t.k.product, &t.k.instrument, &t.k.syringe, &t.kept)
	}, `
		SELECT id, product_id, instrument_id, syringe_id,
		       CASE WHEN state = 'kept' AND NOT EXISTS (SELECT 1 FROM tests c WHERE c.corrects_id = tests.id)
		            THEN 1 ELSE 0 END
		FROM tests WHERE community_id = ? AND import_id = ? ORDER BY id DESC LIMIT ?`, g.id, file, awayAtOnce)
}

// countAway takes tests that are gone off the counts.
func (g *Group) countAway(ctx context.Context, q querier, gone []awayTest) error {
	kept := make(map[combinationKey]int)
	for _, t := range gone {
		kept[t.k] += t.kept
	}
	for k, n := range kept {
		c := trade.Combination{Product: trade.Product{ID: k.product}, Instrument: trade.Instrument{ID: k.instrument},
			Syringe: trade.Syringe{ID: k.syringe}}
		if _, err := g.tally(ctx, q, BenchTest{Combination: c}, -n); err != nil {
			return err
		}
	}
	return nil
}

// EndImports takes away what is left of files that did not come in whole because the program
// ended.
func (s *Store) EndImports(ctx context.Context) error {
	_, err := s.takeAwayLeft(ctx, nil)
	return err
}

// takeAwayLeft takes away the unfinished imports of a community, nil for all, that no program
// works on any more. For the others it returns how long it is until the first of them could
// be taken away, 0 if there are none.
func (s *Store) takeAwayLeft(ctx context.Context, of *Group) (wait time.Duration, err error) {
	defer wrap(&err, "take away unfinished imports")
	type open struct {
		file   int64
		group  *Group
		partAt time.Time
		state  string
	}
	all, err := database.Collect(ctx, s.look(), func(rows *sql.Rows, o *open) error {
		var id int64
		var ref string
		err := rows.Scan(&o.file, &id, &ref, timeColumn{&o.partAt}, &o.state)
		o.group = s.group(id, ref)
		return err
	}, `
		SELECT i.id, c.id, c.ref, i.part_at, i.state FROM imports i JOIN communities c ON c.id = i.community_id
		WHERE i.state IN ('going on', 'stopped') ORDER BY i.id`)
	for _, o := range all {
		now := s.now()
		switch {
		case err != nil:
			return 0, err
		case of != nil && of.id != o.group.id:
		case o.state == "going on" && leased(o.partAt, now, importLease):
			if left := importLease - now.Sub(o.partAt).Abs(); wait == 0 || left < wait {
				wait = left
			}
		default:
			err = o.group.takeAway(ctx, o.file)
		}
	}
	return wait, err
}
