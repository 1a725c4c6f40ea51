// Package sharedlog tests several bots on one log: child processes run the jobs of the same
// communities at once and are killed while they do. It has no code that ships.
package sharedlog

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib"
)

// A child is this test program, started again with these variables in its environment.
const (
	childVariable  = "HOLDBENCH_TEST_CHILD"  // its number
	storeVariable  = "HOLDBENCH_TEST_STORE"  // the address of the log
	folderVariable = "HOLDBENCH_TEST_FOLDER" // where it finds the time and writes what it does
)

// postgresVariable names a PostgreSQL server. If it is set the children share a database
// there, else an SQLite file.
const postgresVariable = "HOLDBENCH_TEST_POSTGRES"

func TestMain(m *testing.M) {
	number := os.Getenv(childVariable)
	if number == "" {
		os.Exit(m.Run())
	}
	if err := work(context.Background(), number, os.Getenv(storeVariable),
		folder(os.Getenv(folderVariable))); err != nil {
		fmt.Fprintln(os.Stderr, "child", number+":", err)
		os.Exit(1)
	}
}

// newAddress is the address of an empty store that is removed with the test.
func newAddress(t *testing.T) string {
	t.Helper()
	server := os.Getenv(postgresVariable)
	if server == "" {
		return filepath.Join(t.TempDir(), "bench.db")
	}
	address := must(url.Parse(server))(t)
	db := must(sql.Open("pgx", server))(t)
	name := fmt.Sprintf("shared_%d", os.Getpid())
	must(db.Exec(`CREATE DATABASE ` + name + ` TEMPLATE template0`))(t)
	t.Cleanup(func() {
		if _, err := db.Exec(`DROP DATABASE ` + name + ` WITH (FORCE)`); err != nil {
			t.Error(err)
		}
		db.Close()
	})
	address.Path = "/" + name
	return address.String()
}

func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}
