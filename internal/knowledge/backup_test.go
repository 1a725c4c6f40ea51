package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/database"
)

// dump is every row of every table of a file, as text.
func dump(t testing.TB, path string) map[string][]string {
	t.Helper()
	db := must(sql.Open("sqlite3", "file:"+path+"?mode=ro"))(t)
	defer db.Close()
	rows := map[string][]string{}
	for _, table := range readAll(t, db, database.Column[string], `SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name`) {
		rows[table] = readAll(t, db, scanAny, `SELECT * FROM `+table+` ORDER BY 1, 2`)
	}
	return rows
}

// readAll reads past the store.
func readAll(t testing.TB, db *sql.DB, scan func(*sql.Rows, *string) error, query string) (lines []string) {
	t.Helper()
	rows := must(db.QueryContext(t.Context(), query))(t)
	defer rows.Close()
	for rows.Next() {
		var line string
		if err := scan(rows, &line); err != nil {
			t.Fatal(err)
		}
		lines = append(lines, line)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return lines
}

// files are the names in a folder.
func files(t testing.TB, folder string) (names []string) {
	t.Helper()
	for _, entry := range must(os.ReadDir(folder))(t) {
		names = append(names, entry.Name())
	}
	return names
}

func TestARestoredStoreHasEveryRowOfEveryTable(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	path, copied := filepath.Join(t.TempDir(), "bench.db"), filepath.Join(t.TempDir(), "copy.db")
	s := must(Open(ctx, path, WithClock(stoppedClock)))(t)
	g := estimatedDemo(t, s, "demo")
	fill(t, s, "other", "fine HA", 3)
	must(g.Evidence(ctx, must(g.Tested(ctx))(t)[0].Combination, 0))(t)
	must(s.ClaimBackup(ctx, "2026-11-24"))(t)
	made := must(s.Backup(ctx, Target{Path: copied}))(t)
	before := dump(t, path)
	if made.Communities != 2 || made.Tests != len(before["tests"]) || made.Latest.IsZero() || made.Bytes == 0 {
		t.Errorf("told of %+v", made)
	}
	for _, table := range []string{"tests", "test_changes", "estimates", "slips", "verdicts", "stock", "backups",
		"claims", "box_items"} {
		if len(before[table]) == 0 {
			t.Errorf("nothing in %s: nothing is proved of it", table)
		}
	}
	must(g.LogTest(ctx, demoTest(t, g)))(t) // lost by the restore
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	later := dump(t, path)
	restored, kept, err := Restore(ctx, copied, path, stopped)
	if err != nil || !cmp.Equal(restored, made) {
		t.Fatalf("%+v, %v; want %+v", restored, err, made)
	}
	if d := cmp.Diff(before, dump(t, path)); d != "" {
		t.Errorf("restored (-backed up +restored):\n%s", d)
	}
	if d := cmp.Diff(later, dump(t, kept)); d != "" {
		t.Errorf("kept (-before +kept):\n%s", d)
	}
	if want := path + ".before-restore-20261125-120000"; kept != want {
		t.Errorf("kept as %s, want %s", kept, want)
	}
	for _, file := range []string{copied, path} {
		if mode := must(os.Stat(file))(t).Mode().Perm(); mode != 0o600 {
			t.Errorf("%s: mode %o", filepath.Base(file), mode)
		}
	}
	must(openAddress(t, path).Group(ctx, "demo"))(t)
}

// demoTest is a test like the demo's latest.
func demoTest(t testing.TB, g *Group) BenchTest {
	t.Helper()
	test := must(g.Tests(t.Context(), TestFilter{Limit: 1}))(t)[0]
	return BenchTest{Combination: test.Combination, TestedOn: test.TestedOn, Tester: test.Tester, Liquid: "whole milk",
		LiquidC: 20, PullML: 0.1, WatchedS: 30, Outcome: Flashback, Seconds: 3, Timing: "stopwatch"}
}

// TestABackupWhileOthersLogIsOneMoment: everything logged before it is in it, and
// nothing by halves.
func TestABackupWhileOthersLogIsOneMoment(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	folder := t.TempDir()
	s := openAddress(t, filepath.Join(folder, "bench.db"))
	g := small(t, s, "local")
	logging, stop := context.WithCancel(ctx)
	var logger sync.WaitGroup
	logger.Go(func() {
		for n := 0; logging.Err() == nil; n++ {
			if _, err := g.LogTest(ctx, shown(2)); err != nil {
				t.Error(err)
			}
		}
	})
	for n := range 5 {
		before := len(must(g.Tests(ctx, TestFilter{}))(t))
		to := filepath.Join(folder, fmt.Sprintf("copy %d.db", n))
		made := must(s.Backup(ctx, Target{Path: to}))(t)
		after := len(must(g.Tests(ctx, TestFilter{}))(t))
		if made.Tests < before || made.Tests > after {
			t.Errorf("%d tests in it, there were %d before and %d after", made.Tests, before, after)
		}
		rows := dump(t, to)
		if combination := rows["tested_combinations"]; made.Tests > 0 &&
			!strings.HasSuffix(combination[0], fmt.Sprintf("HA%d", made.Tests)) {
			t.Errorf("%d tests, counted as %v", made.Tests, combination)
		}
	}
	stop()
	logger.Wait()
}

func TestABackupReplacesNothingUnasked(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path, copied := filepath.Join(folder, "bench.db"), filepath.Join(folder, "copy.db")
	s := openAddress(t, path)
	small(t, s, "local")
	if err := os.WriteFile(copied, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Backup(t.Context(), Target{Path: copied}); !errors.Is(err, ErrDuplicate) {
		t.Errorf("got %v", err)
	}
	if text := must(os.ReadFile(copied))(t); string(text) != "mine" {
		t.Errorf("it is now %.20q", text)
	}
	must(s.Backup(t.Context(), Target{Path: copied, Replace: true}))(t)
	must(Inspect(t.Context(), copied))(t)
	if _, err := s.Backup(t.Context(), Target{Path: path, Replace: true}); err == nil {
		t.Error("the store was replaced by its copy")
	}
	if got := files(t, folder); !cmp.Equal(got, []string{"bench.db", "bench.db-shm", "bench.db-wal", "copy.db"}) {
		t.Errorf("left behind: %v", got)
	}
}

func TestAFailedBackupLeavesNothingBehind(t *testing.T) {
	t.Parallel()
	from, folder := filepath.Join(t.TempDir(), "bench.db"), t.TempDir()
	s := must(Open(t.Context(), from))(t)
	demo(t, s, "demo")
	ended, end := context.WithCancel(t.Context())
	end()
	if _, err := s.Backup(ended, Target{Path: filepath.Join(folder, "copy.db")}); !errors.Is(err, context.Canceled) {
		t.Errorf("given up: got %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	sound := must(os.ReadFile(from))(t)
	copy(sound[len(sound)/2:], make([]byte, 8*4096))
	if err := os.WriteFile(from, sound, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Backup(t.Context(), from, Target{Path: filepath.Join(folder, "copy.db")}); !errors.Is(err,
		ErrDamaged) {
		t.Errorf("damaged: got %v", err)
	}
	if _, err := Backup(t.Context(), filepath.Join(folder, "none.db"),
		Target{Path: filepath.Join(folder, "copy.db")}); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no store: got %v", err)
	}
	if got := files(t, folder); len(got) > 0 {
		t.Errorf("left behind: %v", got)
	}
}

func TestWhatIsNoSoundStoreIsNotRestored(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path := filepath.Join(folder, "bench.db")
	s := must(Open(t.Context(), path))(t)
	small(t, s, "local")
	newer, text, empty, damaged := filepath.Join(folder, "newer.db"), filepath.Join(folder, "notes.txt"),
		filepath.Join(folder, "empty.db"), filepath.Join(folder, "damaged.db")
	must(s.Backup(t.Context(), Target{Path: newer}))(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	whole := must(os.ReadFile(newer))(t)
	db := must(sql.Open("sqlite3", "file:"+newer+"?mode=rw"))(t)
	_, err := db.Exec(`PRAGMA user_version = 999`)
	err = errors.Join(err, db.Close(), os.WriteFile(text, []byte("milk, gloves, needles"), 0o600),
		os.WriteFile(empty, nil, 0o600),
		os.WriteFile(damaged, whole[:len(whole)/2], 0o600))
	if err != nil {
		t.Fatal(err)
	}
	before := must(os.ReadFile(path))(t)
	for from, want := range map[string]error{newer: ErrNewerStore, text: ErrNotAStore, empty: ErrNotAStore,
		damaged: ErrDamaged, filepath.Join(folder, "none"): os.ErrNotExist} {
		if _, kept, err := Restore(t.Context(), from, path, stopped); !errors.Is(err, want) &&
			!(want == ErrDamaged && errors.Is(err, ErrNotAStore)) || kept != "" {
			t.Errorf("%s: kept %q, %v; want %v", filepath.Base(from), kept, err, want)
		}
	}
	if string(before) != string(must(os.ReadFile(path))(t)) {
		t.Error("the store was changed")
	}
	if got := files(t, folder); len(got) != 5 {
		t.Errorf("left behind: %v", got)
	}
}

func TestADamagedStoreIsKeptAndReplaced(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path, copied := filepath.Join(folder, "bench.db"), filepath.Join(folder, "copy.db")
	s := must(Open(t.Context(), path))(t)
	small(t, s, "local")
	must(s.Backup(t.Context(), Target{Path: copied}))(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	noise := []byte(strings.Repeat("no database ", 1000))
	if err := errors.Join(os.WriteFile(path, noise, 0o600), os.WriteFile(path+"-wal", noise, 0o600)); err != nil {
		t.Fatal(err)
	}
	_, kept, err := Restore(t.Context(), copied, path, stopped)
	if err != nil {
		t.Fatal(err)
	}
	if string(must(os.ReadFile(kept))(t)) != string(noise) {
		t.Error("the damaged store is not kept as it was")
	}
	must(openAddress(t, path).Group(t.Context(), "local"))(t)
	if _, _, err := Restore(t.Context(), copied, filepath.Join(folder, "new.db"), stopped); err != nil {
		t.Errorf("where there was none: %v", err)
	}
}
