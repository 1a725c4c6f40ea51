package database

import (
	"os"
	"path/filepath"
	"testing"

	"holdbench/internal/database/databasetest"
)

// application stands in the first migration of the files below.
const application = 0x484C4442

// benchSchema has the migrations that ship.
func benchSchema() Schema {
	return Schema{
		Files: os.DirFS(filepath.Join("..", "knowledge", "migrations")), Application: application,
		Tenants: "communities", TenantColumn: "community_id",
	}
}

// openStore opens a new store, on PostgreSQL where there is a server.
func openStore(t testing.TB) *DB {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bench.db")
	if databasetest.OnPostgres() {
		path = databasetest.For(t, path, "template0")
	}
	return openAs(t, path, benchSchema())
}

// openFile opens a new store of SQLite.
func openFile(t testing.TB) *DB {
	t.Helper()
	return openAs(t, filepath.Join(t.TempDir(), "bench.db"), benchSchema())
}

func openAs(t testing.TB, address string, s Schema) *DB {
	t.Helper()
	db := must(Open(t.Context(), address, s))(t)
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return db
}

// must returns v or ends the test.
func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}
