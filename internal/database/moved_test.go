package database

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestNothingIsConfirmedInAStoreThatIsNoLongerInItsPlace(t *testing.T) {
	another := filepath.Join(t.TempDir(), "another.db")
	killed(t, another, "another")
	for scene, take := range map[string]func(path string) error{
		"deleted":  os.Remove,
		"moved":    func(path string) error { return os.Rename(path, path+".moved") },
		"replaced": func(path string) error { return os.Rename(another, path) },
	} {
		db := openFile(t)
		write := func(tenant string) error {
			return db.Write(t.Context(), AllTenants, func(q Querier) error {
				_, err := q.Exec(t.Context(), `CREATE TABLE `+tenant+` (words TEXT)`)
				return err
			})
		}
		if err := errors.Join(db.InPlace(), write("before")); err != nil {
			t.Fatal(err)
		}
		if err := take(db.Name()); err != nil {
			t.Fatal(err)
		}
		if err := write("after"); !errors.Is(err, ErrMoved) || !errors.Is(err, ErrDisk) {
			t.Errorf("%s: written, %v", scene, err)
		}
		if _, err := db.Backup(t.Context(), benchSchema(),
			Target{Path: filepath.Join(t.TempDir(), "copy.db")}); !errors.Is(err, ErrMoved) {
			t.Errorf("%s: backed up, %v", scene, err)
		}
	}
}

func TestACommitInAStoreThatComesBackIsConfirmedAgain(t *testing.T) {
	db := openFile(t)
	away := db.Name() + ".moved"
	if err := os.Rename(db.Name(), away); err != nil {
		t.Fatal(err)
	}
	nothing := func(Querier) error { return nil }
	if err := db.Write(t.Context(), AllTenants, nothing); !errors.Is(err, ErrMoved) {
		t.Errorf("away: %v", err)
	}
	if err := os.Rename(away, db.Name()); err != nil {
		t.Fatal(err)
	}
	if err := db.Write(t.Context(), AllTenants, nothing); err != nil {
		t.Errorf("back: %v", err)
	}
}
