package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"holdbench/internal/database/databasetest"
)

// at is the address of the store that a test calls by a path: the path, or a
// database that stands for it and goes with the test that asked first.
func at(t testing.TB, path string) string {
	t.Helper()
	if !databasetest.OnPostgres() {
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
			if err := os.WriteFile(path, must(emptyFile())(t), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		return path
	}
	return databasetest.For(t, path, must(emptyStore())(t))
}

// copyOf is the address of a copy of a store that nobody has open.
func copyOf(t testing.TB, from, to string) string {
	t.Helper()
	if databasetest.OnPostgres() {
		return databasetest.For(t, to, databasetest.Name(from))
	}
	if err := os.WriteFile(to, must(os.ReadFile(from))(t), 0o600); err != nil {
		t.Fatal(err)
	}
	return to
}

// emptyStore is the name of a database with a new store in it, of which the tests
// get copies: that is faster than to make each anew.
var emptyStore = sync.OnceValues(func() (string, error) {
	db, err := sql.Open("pgx", os.Getenv(databasetest.Variable))
	if err != nil {
		return "", err
	}
	defer db.Close()
	name := databasetest.Name(fmt.Sprint("empty ", os.Getpid()))
	if _, err := db.Exec(`CREATE DATABASE ` + name); err != nil {
		return "", err
	}
	address, err := databasetest.URL(name)
	if err != nil {
		return "", err
	}
	s, err := Open(context.Background(), address)
	if err != nil {
		return "", err
	}
	return name, s.Close()
})

// emptyFile is a file with a new store in it, as emptyStore is a database.
var emptyFile = sync.OnceValues(func() ([]byte, error) {
	folder, err := os.MkdirTemp("", "")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, "empty.db")
	s, err := Open(context.Background(), path)
	if err != nil {
		return nil, err
	}
	if err := s.Close(); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
})

// openFile opens a new store of SQLite, for what is about its file.
func openFile(t testing.TB) *Store {
	t.Helper()
	return openAddress(t, filepath.Join(t.TempDir(), "bench.db"))
}

func openAddress(t testing.TB, address string) *Store {
	t.Helper()
	s, err := Open(t.Context(), address, WithClock(stoppedClock), WithPatience(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}
