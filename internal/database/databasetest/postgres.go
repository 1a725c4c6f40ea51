// Package databasetest makes PostgreSQL databases for tests, if there is a server.
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

// Variable holds the URL of a PostgreSQL server. If it is set, the tests of the store run there, each in a database of
// its own; else they run in SQLite files.
const Variable = "HOLDBENCH_TEST_POSTGRES"

// OnPostgres reports whether there is a server.
func OnPostgres() bool { return os.Getenv(Variable) != "" }

// Only skips a test that is about PostgreSQL if there is no server.
func Only(tb testing.TB) {
	tb.Helper()
	if !OnPostgres() {
		tb.Skip("no PostgreSQL: " + Variable + " is not set (make postgres)")
	}
}

// Server connects to the server's own database.
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

// For returns the address of the database that stands for a path. If there is none, it makes one as a copy of template;
// "template0" is empty.
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
