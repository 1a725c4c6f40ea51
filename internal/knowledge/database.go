package knowledge

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"time"
)

// database is the kind of database behind a store. There are two: a file of
// SQLite (sqlite.go), which needs nothing beside the program, and PostgreSQL
// (postgres.go), for a log that several machines share. The rest of the package
// knows neither.
type database interface {
	// name says where the store is, for messages; a password is not in it.
	name() string
	// open opens the pools that read and write, once what is there has been
	// recognised as a store no newer than version newest, or as empty.
	open(ctx context.Context, newest int) (read, write *sql.DB, err error)
	// querier is the way to a pool or a transaction of this kind.
	querier(e engine) querier
	// statements are the parts of a migration in the words of this database.
	statements(migration string) ([]string, error)
	// version is how many migrations the store has seen.
	version(ctx context.Context, q querier) (int, error)
	setVersion(ctx context.Context, q querier, version int) error
	// turn waits until this program's writers before have had their turn;
	// communities do not wait for each other where the database can do that.
	turn(ctx context.Context, community int64) (done func(), err error)
	// lock keeps out the writers of other programs until the transaction ends:
	// those of one community, or for wholeStore all.
	lock(ctx context.Context, q querier, community int64) error
	// spaced waits until no other program has done something within a time.
	spaced(ctx context.Context, what string, apart time.Duration) error
	// snapshot are the options of a transaction whose queries all see one state.
	snapshot() *sql.TxOptions
	schema
}

// databaseAt is the database that an address names: the path of a file, or a URL
// of PostgreSQL.
func databaseAt(address string) (database, error) {
	switch {
	case address == "":
		return nil, errors.New("no path given")
	case IsURL(address):
		return newPostgres(address)
	}
	path, err := filepath.Abs(address)
	return sqliteFile{path}, err
}

// IsURL reports whether the address of a store is a URL of PostgreSQL and not the
// path of a file.
func IsURL(address string) bool {
	return strings.HasPrefix(address, "postgres://") || strings.HasPrefix(address, "postgresql://")
}

//go:embed migrations/*.sql
var migrationFiles embed.FS

// migrations returns the embedded migrations in order, in the words of SQLite.
// They are numbered from 0001 without gaps; a released one is never edited.
func migrations() ([]string, error) {
	names, err := fs.Glob(migrationFiles, "migrations/*.sql")
	if err != nil {
		return nil, err
	}
	texts := make([]string, len(names)) // Glob gives names in order
	for i, name := range names {
		if !strings.HasPrefix(filepath.Base(name), fmt.Sprintf("%04d_", i+1)) {
			return nil, fmt.Errorf("migration %s: want number %04d", name, i+1)
		}
		text, err := migrationFiles.ReadFile(name)
		if err != nil {
			return nil, err
		}
		texts[i] = string(text)
	}
	return texts, nil
}

// migrate brings the store up to date, one transaction per migration. The version
// is read inside the transaction: two programs may open a store at once.
func (s *Store) migrate(ctx context.Context, texts []string) error {
	for i, text := range texts {
		err := s.writing(ctx, wholeStore, func(q querier) error { return s.migrateTo(ctx, q, i+1, text) })
		if err != nil {
			return fmt.Errorf("migration %04d: %w", i+1, err)
		}
	}
	return nil
}

func (s *Store) migrateTo(ctx context.Context, q querier, version int, text string) error {
	at, err := s.db.version(ctx, q)
	if err != nil || at >= version {
		return err
	}
	statements, err := s.db.statements(text)
	if err != nil {
		return err
	}
	for _, statement := range statements {
		if _, err := q.exec(ctx, statement); err != nil {
			return err
		}
	}
	return s.db.setVersion(ctx, q, version)
}

// notNewer looks, inside a writing transaction, whether a newer program has taken
// the store over since it was opened: this one must not write by older rules then.
func (s *Store) notNewer(ctx context.Context, q querier) error {
	version, err := s.db.version(ctx, q)
	if err != nil {
		return err
	}
	return checkVersion(version, s.newest)
}

func checkVersion(version, newest int) error {
	if version > newest {
		return fmt.Errorf("%w: it is at version %d, this program knows versions up to %d", ErrNewerStore, version, newest)
	}
	return nil
}
