package database

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"holdbench/internal/database/databasetest"
)

// with is the schema with one more migration for both engines, numbered so many after the latest.
func with(t *testing.T, ahead int, migration string) Schema {
	t.Helper()
	s, files := benchSchema(), fstest.MapFS{}
	name := numbered(t, ahead) + "_added.sql"
	for _, folder := range []string{"sqlite", "postgres"} {
		for _, path := range must(fs.Glob(s.Files, folder+"/*.sql"))(t) {
			files[path] = &fstest.MapFile{Data: must(fs.ReadFile(s.Files, path))(t)}
		}
		files[folder+"/"+name] = &fstest.MapFile{Data: []byte("-- +goose Up\n" + migration)}
	}
	s.Files = files
	return s
}

// numbered is the number of a migration so many after the latest, as its file has it.
func numbered(t *testing.T, ahead int) string {
	t.Helper()
	return fmt.Sprintf("%04d", len(must(fs.Glob(benchSchema().Files, "sqlite/*.sql"))(t))+ahead)
}

// emptyAddress is the address of a store that is not there yet.
func emptyAddress(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bench.db")
	if databasetest.OnPostgres() {
		return databasetest.For(t, path, "template0")
	}
	return path
}

func TestMigrationsAreNumberedAndCounted(t *testing.T) {
	files := benchSchema().Files
	names := must(fs.Glob(files, "sqlite/*.sql"))(t)
	var others []string
	for _, name := range must(fs.Glob(files, "postgres/*.sql"))(t) {
		others = append(others, strings.Replace(name, "postgres", "sqlite", 1))
	}
	if len(names) == 0 || !slices.Equal(names, others) {
		t.Fatalf("migrations %v, and for PostgreSQL %v", names, others)
	}
	s := openFile(t)
	var version, id int
	if err := s.Look().Row(t.Context(), `PRAGMA user_version`).Scan(&version); err != nil || version != len(names) {
		t.Errorf("user_version = %d, %v; want %d", version, err, len(names))
	}
	if err := s.Look().Row(t.Context(), `PRAGMA application_id`).Scan(&id); err != nil || id != application {
		t.Errorf("application_id = %x, %v; want %x", id, err, application)
	}
}

func TestAFailedMigrationLeavesNothingBehind(t *testing.T) {
	address := emptyAddress(t)
	before := openAs(t, address, benchSchema()).newest
	faulty := with(t, 1, "CREATE TABLE half (id INTEGER);\nCREATE TABLE half (id INTEGER);\n")
	if _, err := Open(t.Context(), address, faulty); err == nil || !strings.Contains(err.Error(), "half") {
		t.Fatalf("a faulty migration went through: %v", err)
	}
	s := openAs(t, address, benchSchema())
	version, err := s.engine.version(t.Context(), s.Look())
	tables := must(s.Tables(t.Context()))(t)
	if err != nil || version != before || slices.ContainsFunc(tables, func(t Table) bool { return t.Name == "half" }) {
		t.Errorf("version %d, want %d; %d tables, %v", version, before, len(tables), err)
	}
}

func TestAMigrationThatSkipsANumberIsRefused(t *testing.T) {
	s := with(t, 2, "CREATE TABLE gap (id INTEGER);\n")
	if _, err := Open(t.Context(), emptyAddress(t), s); err == nil || !strings.Contains(err.Error(), numbered(t, 2)) {
		t.Errorf("got %v", err)
	}
}

func TestANewerStoreIsRefusedAtOnceAndLater(t *testing.T) {
	address := emptyAddress(t)
	running := openAs(t, address, benchSchema())
	openAs(t, address, with(t, 1, "CREATE TABLE more (id INTEGER);\n"))
	if _, err := Open(t.Context(), address, benchSchema()); !errors.Is(err, ErrNewerStore) ||
		!strings.Contains(err.Error(), strings.TrimLeft(numbered(t, 1), "0")) {
		t.Errorf("opened anew: %v", err)
	}
	err := running.Write(t.Context(), AllTenants, func(Querier) error { t.Error("it was written to"); return nil })
	if !errors.Is(err, ErrNewerStore) {
		t.Errorf("a program that it was taken over from: %v", err)
	}
}

// Programs that open an empty store at once all have a whole one.
func TestManyOpenAnEmptyStoreAtOnce(t *testing.T) {
	address, ended := emptyAddress(t), make(chan error, 4)
	for range cap(ended) {
		go func() {
			s, err := Open(context.Background(), address, benchSchema())
			if err == nil {
				err = s.Close()
			}
			ended <- err
		}()
	}
	for range cap(ended) {
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}
	if tables := must(openAs(t, address, benchSchema()).Tables(t.Context()))(t); len(tables) < 20 {
		t.Errorf("%d tables", len(tables))
	}
}
