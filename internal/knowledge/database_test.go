package knowledge

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib"
)

// postgresVariable names a server of PostgreSQL. Where it is set, the tests of the
// store run there, each in a database of its own; else in files of SQLite.
const postgresVariable = "HOLDBENCH_TEST_POSTGRES"

func onPostgres() bool { return os.Getenv(postgresVariable) != "" }

// at is the address of the store that a test calls by a path: the path, or a
// database that stands for it and goes with the test that asked first.
func at(t testing.TB, path string) string {
	t.Helper()
	if !onPostgres() {
		return path
	}
	return databaseFor(t, path, must(emptyStore())(t))
}

// copyOf is the address of a copy of a store that nobody has open.
func copyOf(t testing.TB, from, to string) string {
	t.Helper()
	if onPostgres() {
		return databaseFor(t, to, databaseName(from))
	}
	if err := os.WriteFile(to, must(os.ReadFile(from))(t), 0o600); err != nil {
		t.Fatal(err)
	}
	return to
}

// server is the way to the server itself.
var server = sync.OnceValues(func() (*sql.DB, error) { return sql.Open("pgx", os.Getenv(postgresVariable)) })

// emptyStore is the name of a database with a new store in it, of which the tests
// get copies: that is faster than to make each anew.
var emptyStore = sync.OnceValues(func() (string, error) {
	db, err := server()
	if err != nil {
		return "", err
	}
	name := databaseName(fmt.Sprint("empty ", os.Getpid()))
	if _, err := db.Exec(`CREATE DATABASE ` + name); err != nil {
		return "", err
	}
	address, err := addressOf(name)
	if err != nil {
		return "", err
	}
	s, err := Open(context.Background(), address)
	if err != nil {
		return "", err
	}
	return name, s.Close()
})

func databaseName(path string) string { return fmt.Sprintf("test_%x", lockNumber(path)) }

func addressOf(database string) (string, error) {
	address, err := url.Parse(os.Getenv(postgresVariable))
	if err != nil {
		return "", err
	}
	address.Path = "/" + database
	return address.String(), nil
}

// databaseFor makes the database that stands for a path, as a copy of another, if it
// is not there.
func databaseFor(t testing.TB, path, template string) string {
	t.Helper()
	db, name := must(server())(t), databaseName(path)
	_, err := db.Exec(`CREATE DATABASE ` + name + ` TEMPLATE ` + template)
	if err == nil {
		t.Cleanup(func() {
			if _, err := db.Exec(`DROP DATABASE ` + name + ` WITH (FORCE)`); err != nil {
				t.Error(err)
			}
		})
	} else if !hasCode(err, "42P04") { // there already
		t.Fatal(err)
	}
	return must(addressOf(name))(t)
}

// openFile opens a new store of SQLite, for what is about its file.
func openFile(t testing.TB) *Store {
	t.Helper()
	return openAddress(t, filepath.Join(t.TempDir(), "bench.db"))
}

func openAddress(t testing.TB, address string) *Store {
	t.Helper()
	s, err := Open(t.Context(), address, WithClock(stoppedClock))
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
