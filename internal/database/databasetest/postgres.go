// Package databasetest gives tests databases on a server of PostgreSQL, where there
// is one.
package databasetest

import (
	"database/sql"
	"errors"
	"fmt"
	"hash/fnv"
	"net/url"
	"os"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"
	_ "github.com/jackc/pgx/v5/stdlib" // the driver named pgx
)

// Variable names a server of PostgreSQL, by its URL. Where it is set, the tests of
// the store run there, each in a database of its own; else in files of SQLite.
const Variable = "HOLDBENCH_TEST_POSTGRES"

// OnPostgres reports whether there is a server.
func OnPostgres() bool { return os.Getenv(Variable) != "" }

// Only ends a test that is about PostgreSQL where there is none.
func Only(tb testing.TB) {
	tb.Helper()
	if !OnPostgres() {
		tb.Skip("no PostgreSQL: " + Variable + " is not set (make postgres)")
	}
}

// Server is the way to the server itself.
func Server(tb testing.TB) *sql.DB {
	tb.Helper()
	db, err := sql.Open("pgx", os.Getenv(Variable))
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { db.Close() })
	return db
}

// Name is the name of the database that stands for a path.
func Name(path string) string {
	hash := fnv.New64a()
	hash.Write([]byte(path))
	return fmt.Sprintf("test_%x", hash.Sum64())
}

// URL is the address of a database of that name.
func URL(name string) (string, error) {
	address, err := url.Parse(os.Getenv(Variable))
	if err != nil {
		return "", err
	}
	address.Path = "/" + name
	return address.String(), nil
}

// For makes the database that stands for a path, as a copy of another, if it is not
// there, and returns its address. "template0" is empty.
func For(tb testing.TB, path, template string) string {
	tb.Helper()
	db, name := Server(tb), Name(path)
	_, err := db.ExecContext(tb.Context(), `CREATE DATABASE `+name+` TEMPLATE `+template)
	var refused *pgconn.PgError
	switch {
	case err == nil:
		tb.Cleanup(func() {
			if _, err := db.Exec(`DROP DATABASE ` + name + ` WITH (FORCE)`); err != nil {
				tb.Error(err)
			}
		})
	case !errors.As(err, &refused) || refused.Code != "42P04": // there already
		tb.Fatal(err)
	}
	address, err := URL(name)
	if err != nil {
		tb.Fatal(err)
	}
	return address
}
