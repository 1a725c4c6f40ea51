package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"strings"
)

// Inspection is what is found in a store that was looked at and not changed.
type Inspection struct {
	Engine          string // what keeps it, as in "PostgreSQL 15.18"
	Version, Newest int    // of the store, and the one that this program brings it to
	Bytes           int64  // of a file; 0 for a database
}

func (s Schema) look(ctx context.Context, q Querier, version int) error {
	if s.Look == nil {
		return nil
	}
	return s.Look(ctx, q, version)
}

// mostFaults are told of an integrity check.
const mostFaults = 3

// Inspect checks the file at path from end to end, without changing it: that it is
// a store of this program and no newer than it, that every page is sound and that
// every row points at one that is there. It reads the whole file.
//
// Errors: ErrNotAStore, ErrNewerStore, ErrDamaged.
func Inspect(ctx context.Context, s Schema, path string) (found Inspection, err error) {
	defer Wrap(&err, "check %s", path)
	if found.Newest, err = s.newest(sqliteFile{}.folder()); err != nil {
		return Inspection{}, err
	}
	info, err := os.Stat(path)
	if err != nil {
		return Inspection{}, err
	}
	db, err := sql.Open("sqlite3", dataSource(path, copyFrom))
	if err != nil {
		return Inspection{}, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := recogniseOpen(ctx, db, s, found.Newest); err != nil {
		return Inspection{}, err
	}
	q := sqliteFile{}.querier(db)
	if err := soundThroughout(ctx, q); err != nil {
		return Inspection{}, err
	}
	found.Bytes, found.Engine = info.Size(), "SQLite"
	if err := q.Row(ctx, `PRAGMA user_version`).Scan(&found.Version); err != nil {
		return Inspection{}, err
	}
	if found.Version == 0 {
		return Inspection{}, fmt.Errorf("%w: there is nothing in it", ErrNotAStore)
	}
	return found, s.look(ctx, q, found.Version)
}

// soundThroughout looks at every page and every reference.
func soundThroughout(ctx context.Context, q Querier) error {
	said, err := Collect(ctx, q, Column[string], fmt.Sprintf(`PRAGMA integrity_check(%d)`, mostFaults))
	if err != nil {
		return err
	}
	if len(said) != 1 || said[0] != "ok" {
		return fmt.Errorf("%w: %s", ErrDamaged, strings.Join(said, "; "))
	}
	astray, err := Collect(ctx, q, func(rows *sql.Rows, table *string) error {
		var row, parent, key any
		return rows.Scan(table, &row, &parent, &key)
	}, `PRAGMA foreign_key_check`)
	if err == nil && len(astray) > 0 {
		return fmt.Errorf("%w: %d rows point at none, the first in %s", ErrDamaged, len(astray), astray[0])
	}
	return err
}
