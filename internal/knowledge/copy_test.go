package knowledge

import (
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"holdbench/internal/calc"
	"holdbench/internal/database"
)

// rowsOf writes down every row of every table, table by table.
func rowsOf(t testing.TB, s *Store) map[string][]string {
	t.Helper()
	rows := map[string][]string{}
	for _, shape := range must(s.db.Tables(t.Context()))(t) {
		rows[shape.Name] = must(database.Collect(t.Context(), s.look(), scanAny, `
			SELECT `+strings.Join(shape.Columns, ", ")+` FROM `+shape.Name+` ORDER BY `+strings.Join(shape.Key, ", ")))(t)
	}
	return rows
}

func sameRows(t testing.TB, got, want map[string][]string) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%d tables, want %d", len(got), len(want))
	}
	for name, rows := range want {
		if !slices.Equal(got[name], rows) {
			t.Errorf("%s:\ngot  %s\nwant %s", name, strings.Join(got[name], "\n     "), strings.Join(rows, "\n     "))
		}
	}
}

// A store goes from a file into the database under test and back, and is what it
// was, row by row; then both go on giving the same numbers.
func TestACopyThereAndBackHasEveryRow(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	from, there, back := openFile(t), openStore(t), openFile(t)
	_, ours := fill(t, from, "A", calc.MediumHA, 2.5)
	fill(t, from, "B", calc.FirmHA, 17)
	demo(t, from, "demo")
	gone := must(from.Group(ctx, "A"))(t)
	must(gone.WithdrawTest(ctx, ours.test, Member{Ref: "osier"}, "a slip"))(t)
	if mine := must(from.ClaimBackup(ctx, "2026-11-25"))(t); !mine {
		t.Fatal("no backup to note")
	}
	want := rowsOf(t, from)
	for _, table := range []string{"estimates", "notices", "claims", "box_items", "asked", "backups", "merged_tests"} {
		if len(want[table]) == 0 {
			t.Errorf("nothing in %s: nothing is proved of it", table)
		}
	}
	rows := 0
	for _, table := range want {
		rows += len(table)
	}
	copied := must(Copy(ctx, from, there))(t)
	if copied.Rows != rows || copied.Tables != len(want) || !slices.Equal(copied.Refs, []string{"A", "B", "demo"}) {
		t.Errorf("copied %+v, want %d rows of %d tables", copied, rows, len(want))
	}
	sameRows(t, rowsOf(t, there), want)
	must(Copy(ctx, there, back))(t)
	sameRows(t, rowsOf(t, back), want)
	var numbers []int64
	for _, s := range []*Store{from, there, back} {
		g := must(s.Group(ctx, "demo"))(t)
		numbers = append(numbers, must(g.LogTest(ctx, demoTest(t, g)))(t).ID,
			must(g.Admit(ctx, Member{Ref: "newcomer"}))(t).ID)
	}
	if !slices.Equal(numbers[:2], numbers[2:4]) || !slices.Equal(numbers[:2], numbers[4:]) {
		t.Errorf("numbers given afterwards: %v", numbers)
	}
}

func TestACopyOfAnyLogAnswersAsTheLogDid(t *testing.T) {
	t.Parallel()
	s, runs := openFile(t), 0
	rapid.Check(t, func(rt *rapid.T) {
		runs++
		g := found(t, s, "drawn "+time.Duration(runs).String())
		err := s.inTx(t.Context(), func(q querier) error { return drawCommunity(rt, t.Context(), g, q) })
		if err != nil {
			rt.Fatal(err)
		}
	})
	there := openStore(t)
	must(Copy(t.Context(), s, there))(t)
	sameRows(t, rowsOf(t, there), rowsOf(t, s))
	for _, g := range must(s.Groups(t.Context()))(t) {
		h := must(there.Group(t.Context(), g.Ref()))(t)
		for _, name := range append(demoFiles, "history") {
			if got, want := h.export(t, name), g.export(t, name); got != want {
				t.Fatalf("%s of %s:\ngot  %s\nwant %s", name, g.Ref(), got, want)
			}
		}
	}
}

// A backup of the database under test is a file with every row in it.
func TestABackupIsAFileWithEveryRow(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s, path := openStore(t), filepath.Join(t.TempDir(), "copy.db")
	if made := must(s.Backup(ctx, Target{Path: path}))(t); made.Communities != 0 {
		t.Errorf("of an empty store: %+v", made)
	}
	fill(t, s, "A", calc.MediumHA, 2.5)
	must(s.ClaimBackup(ctx, "2026-11-25"))(t)
	if _, err := s.Backup(ctx, Target{Path: path}); !errors.Is(err, ErrDuplicate) {
		t.Errorf("over another: %v", err)
	}
	made := must(s.Backup(ctx, Target{Path: path, Replace: true}))(t)
	rows := rowsOf(t, s)
	if made.Communities != 1 || made.Tests != len(rows["tests"]) || made.Bytes == 0 {
		t.Errorf("told of %+v", made)
	}
	if names := files(t, filepath.Dir(path)); !slices.Equal(names, []string{"copy.db"}) {
		t.Errorf("in the folder: %v", names)
	}
	sameRows(t, rowsOf(t, openAddress(t, path)), rows)
}

func TestOneCommunityIsCopiedBesideOthers(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	from, to := openFile(t), openStore(t)
	for _, ref := range []string{"A", "B"} {
		must(small(t, from, ref).LogTest(ctx, shown(2)))(t)
	}
	must(from.ClaimBackup(ctx, "2026-11-25"))(t)
	must(Copy(ctx, from, to, "B"))(t)
	if copied := must(Copy(ctx, from, to, "A"))(t); !slices.Equal(copied.Refs, []string{"A"}) {
		t.Errorf("copied %v", copied.Refs)
	}
	got, want := rowsOf(t, to), rowsOf(t, from)
	if len(got["backups"]) != 0 {
		t.Errorf("the record of backups came along: %v", got["backups"])
	}
	want["backups"] = nil
	sameRows(t, got, want)
}

func TestACopyOverwritesNothing(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	from, to := openFile(t), openStore(t)
	must(small(t, from, "A").LogTest(ctx, shown(2)))(t)
	small(t, from, "B")
	must(small(t, to, "A").LogTest(ctx, shown(9)))(t)
	before := rowsOf(t, to)
	for what, refs := range map[string][]string{"all": nil, "the one that is there": {"A"}, "one of two": {"B", "A"}} {
		if _, err := Copy(ctx, from, to, refs...); !errors.Is(err, ErrDuplicate) {
			t.Errorf("%s: %v", what, err)
		}
		sameRows(t, rowsOf(t, to), before)
	}
	apart := openStore(t)
	small(t, apart, "C") // has the numbers that A has
	before = rowsOf(t, apart)
	if _, err := Copy(ctx, from, apart, "A"); !errors.Is(err, ErrDuplicate) ||
		!strings.Contains(err.Error(), "begun apart") {
		t.Errorf("begun apart: %v", err)
	}
	sameRows(t, rowsOf(t, apart), before)
	if _, err := Copy(ctx, from, to, "nobody"); !errors.Is(err, ErrNotFound) {
		t.Errorf("nobody: %v", err)
	}
	if copied := must(Copy(ctx, openFile(t), to))(t); copied.Rows != 0 || len(copied.Refs) != 0 {
		t.Errorf("of an empty store: %+v", copied)
	}
}

// A row that does not arrive as it was is found before anything is committed.
func TestACopyThatDiffersIsUndone(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	from, to := openStore(t), openAddress(t, filepath.Join(t.TempDir(), "to.db"))
	must(small(t, from, "A").LogTest(ctx, shown(2)))(t)
	for name, trigger := range map[string]string{
		"row 1, note": `CREATE TRIGGER wrong AFTER INSERT ON tests BEGIN UPDATE tests SET note = 'another' WHERE id = new.id; END`,
		"only one":    `CREATE TRIGGER wrong AFTER INSERT ON estimates BEGIN DELETE FROM estimates; END`,
	} {
		if _, err := unchecked(to).Exec(ctx, trigger); err != nil {
			t.Fatal(err)
		}
		if _, err := Copy(ctx, from, to); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
		if groups := must(to.Groups(ctx))(t); len(groups) != 0 {
			t.Errorf("%d communities are there", len(groups))
		}
		if _, err := unchecked(to).Exec(ctx, `DROP TRIGGER wrong`); err != nil {
			t.Fatal(err)
		}
	}
}
