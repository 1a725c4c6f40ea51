package commands

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib"

	"holdbench/internal/knowledge"
)

// postgresVariable names a server of PostgreSQL. Where it is set, the demo of every
// test is in a database there; else in a file of SQLite.
const postgresVariable = "HOLDBENCH_TEST_POSTGRES"

// demoAddress is the address of a store of a test's own, with the demo in it.
func demoAddress(t testing.TB) string {
	t.Helper()
	bytes, err := demoStore()
	if err != nil {
		t.Fatal(err)
	}
	if os.Getenv(postgresVariable) != "" {
		return demoDatabase(t)
	}
	path := filepath.Join(t.TempDir(), "bot.db")
	if err := os.WriteFile(path, bytes, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

var (
	server    = sync.OnceValues(func() (*sql.DB, error) { return sql.Open("pgx", os.Getenv(postgresVariable)) })
	databases atomic.Int64 // so many were made
)

func demoDatabase(t testing.TB) string {
	t.Helper()
	template, err := demoTemplate()
	if err != nil {
		t.Fatal(err)
	}
	db, err := server()
	if err != nil {
		t.Fatal(err)
	}
	name := fmt.Sprintf("demo_%d_%d", os.Getpid(), databases.Add(1))
	if _, err := db.Exec(`CREATE DATABASE ` + name + ` TEMPLATE ` + template); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if _, err := db.Exec(`DROP DATABASE ` + name + ` WITH (FORCE)`); err != nil {
			t.Error(err)
		}
	})
	return addressOf(name)
}

func addressOf(database string) string {
	address, err := url.Parse(os.Getenv(postgresVariable))
	if err != nil {
		return err.Error() // cannot be opened, and says why
	}
	address.Path = "/" + database
	return address.String()
}

// demoTemplate is the database with the demo that the others are copies of.
var demoTemplate = sync.OnceValues(func() (name string, err error) {
	db, err := server()
	if err != nil {
		return "", err
	}
	name = fmt.Sprintf("demo_%d", os.Getpid())
	if _, err := db.Exec(`CREATE DATABASE ` + name + ` TEMPLATE template0`); err != nil {
		return "", err
	}
	folder, err := os.MkdirTemp("", "demo")
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	bytes, err := demoStore()
	if err != nil {
		return "", err
	}
	path := filepath.Join(folder, "bot.db")
	if err := os.WriteFile(path, bytes, 0o600); err != nil {
		return "", err
	}
	return name, copyStore(context.Background(), path, addressOf(name))
})

func copyStore(ctx context.Context, from, to string) (err error) {
	source, err := knowledge.Open(ctx, from)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, source.Close()) }()
	target, err := knowledge.Open(ctx, to)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, target.Close()) }()
	_, err = knowledge.Copy(ctx, source, target)
	return err
}
