package database

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"
)

var restoredAt = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// killed puts the files of a store whose program was killed at a path: what was
// said last is only in the write-ahead log.
func killed(t *testing.T, path, said string) {
	t.Helper()
	from := filepath.Join(t.TempDir(), "bench.db")
	db := openAs(t, from, benchSchema())
	err := db.Write(t.Context(), AllTenants, func(q Querier) error {
		_, err := q.Exec(t.Context(), `CREATE TABLE said (words TEXT)`)
		return err
	})
	for _, words := range []string{"early", said} {
		err = errors.Join(err, db.Write(t.Context(), AllTenants, func(q Querier) error {
			_, err := q.Exec(t.Context(), `INSERT INTO said (words) VALUES (?)`, words)
			return err
		}))
		if words == "early" {
			_, foldErr := db.write.ExecContext(t.Context(), `PRAGMA wal_checkpoint(TRUNCATE)`)
			err = errors.Join(err, foldErr)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, side := range []string{"", "-wal"} {
		if err := os.WriteFile(path+side, must(os.ReadFile(from+side))(t), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// saidIn opens the store at a path, as the next start does, and returns what was
// said last in it.
func saidIn(t *testing.T, path string) (words string) {
	t.Helper()
	db := must(Open(t.Context(), path, benchSchema()))(t)
	err := db.Look().Row(t.Context(), `SELECT words FROM said ORDER BY rowid DESC LIMIT 1`).Scan(&words)
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	must(Inspect(t.Context(), benchSchema(), path))(t)
	return words
}

// backedUp is the file of a backup in which "new" was said last.
func backedUp(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	path, copied := filepath.Join(folder, "bench.db"), filepath.Join(folder, "copy.db")
	killed(t, path, "new")
	must(Backup(t.Context(), benchSchema(), path, Target{Path: copied}))(t)
	return copied
}

func TestALeftOverLogIsNotPlayedIntoTheRestoredStore(t *testing.T) {
	copied := backedUp(t)
	for scene, remove := range map[string]string{"the file is there": "-none", "the file is gone": ""} {
		path := filepath.Join(t.TempDir(), "bench.db")
		killed(t, path, "old")
		if err := os.Remove(path + remove); err != nil && remove == "" {
			t.Fatal(err)
		}
		_, kept, err := Restore(t.Context(), benchSchema(), copied, path, restoredAt)
		if err != nil {
			t.Fatal(err)
		}
		if got := saidIn(t, path); got != "new" {
			t.Errorf("%s: restored is %q", scene, got)
		}
		want := path + ".before-restore-20261125-120000"
		if remove == "" {
			want += "-wal"
		} else if got := saidIn(t, kept); got != "old" {
			t.Errorf("%s: kept is %q", scene, got)
		}
		if kept != want {
			t.Errorf("%s: kept as %q, want %q", scene, kept, want)
		}
	}
}

func TestAPowerCutWithinARestoreLeavesTheOldOrTheNewStore(t *testing.T) {
	copied, seen := backedUp(t), map[string]int{}
	for done := 0; ; done++ {
		path := filepath.Join(t.TempDir(), "bench.db")
		killed(t, path, "old")
		part, _, err := copyAside(t.Context(), benchSchema(), path, copyOfFile(copied))
		if err != nil {
			t.Fatal(err)
		}
		r := replacement{part: part, to: path, kept: path + ".kept"}
		steps := r.steps(t.Context())
		for _, step := range steps[:done] {
			if err := step(); err != nil {
				t.Fatal(err)
			}
		}
		got := saidIn(t, path)
		seen[got]++
		if got != "old" && got != "new" {
			t.Errorf("after %d steps it is %q", done, got)
		}
		if got == "new" && saidIn(t, r.kept) != "old" {
			t.Errorf("after %d steps the old one is lost", done)
		}
		if done == len(steps) {
			break
		}
	}
	if seen["old"] == 0 || seen["new"] == 0 {
		t.Errorf("seen: %v", seen)
	}
}

func TestARestoreThatFailsOnTheWayChangesNothing(t *testing.T) {
	copied := backedUp(t)
	for done := 1; ; done++ {
		path := filepath.Join(t.TempDir(), "bench.db")
		killed(t, path, "old")
		part, _, err := copyAside(t.Context(), benchSchema(), path, copyOfFile(copied))
		if err != nil {
			t.Fatal(err)
		}
		r := replacement{part: part, to: path, kept: path + ".kept"}
		steps := r.steps(t.Context())
		for _, step := range steps[:done] {
			if err := step(); err != nil {
				t.Fatal(err)
			}
		}
		if err := r.undo(); err != nil {
			t.Error(err)
		}
		if got := saidIn(t, path); got != "old" || first(r.kept) != "" {
			t.Errorf("undone after %d steps: %q, and %q is left", done, got, first(r.kept))
		}
		if done == len(steps) {
			return
		}
	}
}

func TestARestoredStoreKeepsTheModeAndALinkStaysALink(t *testing.T) {
	folder, copied := t.TempDir(), backedUp(t)
	path, link := filepath.Join(folder, "bench.db"), filepath.Join(folder, "link.db")
	killed(t, path, "old")
	if err := errors.Join(os.Chmod(path, 0o640), os.Symlink("bench.db", link)); err != nil {
		t.Fatal(err)
	}
	if _, _, err := Restore(t.Context(), benchSchema(), copied, link, restoredAt); err != nil {
		t.Fatal(err)
	}
	if is := must(os.Lstat(link))(t).Mode().Type(); is != fs.ModeSymlink {
		t.Errorf("the link is now %v", is)
	}
	if mode := must(os.Stat(path))(t).Mode().Perm(); mode != 0o640 {
		t.Errorf("mode %o", mode)
	}
	if got := saidIn(t, path); got != "new" {
		t.Errorf("restored is %q", got)
	}
}

// TestARestoreAsRootLeavesTheFileToItsOwner needs root; 12345 is nobody's number here.
func TestARestoreAsRootLeavesTheFileToItsOwner(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give files away")
	}
	copied, want := backedUp(t), owners{12345, 12346}
	for scene, there := range map[string]bool{"over a store": true, "into a folder": false} {
		folder := t.TempDir()
		path := filepath.Join(folder, "bench.db")
		given := folder
		if there {
			killed(t, path, "old")
			given = path
		}
		if err := os.Chown(given, want.user, want.group); err != nil {
			t.Fatal(err)
		}
		if _, _, err := Restore(t.Context(), benchSchema(), copied, path, restoredAt); err != nil {
			t.Fatal(err)
		}
		if got := owner(must(os.Stat(path))(t)); got != want {
			t.Errorf("%s: %v", scene, got)
		}
	}
}
