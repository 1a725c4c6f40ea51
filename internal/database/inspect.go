package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"strings"
)

// Inspection is what was found in a store, which is not changed by it.
type Inspection struct {
	Engine          string // as in "PostgreSQL 15.18"
	Version, Newest int    // of the store, and the one that this program brings it to
	Bytes           int64  // of a file; 0 for a database
}

func (s Schema) look(ctx context.Context, q Querier, version int) error {
	if s.Look == nil {
		return nil
	}
	return s.Look(ctx, q, version)
}

// mostFaults is how many faults of an integrity check are reported.
const mostFaults = 3

// Inspect checks the file at path from end to end, without changing it: it is a store of this program and no newer,
// every page is sound, and every foreign key points at an existing row.
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
	q := sqliteFile{}.querier(db)
	marked, err := recognise(ctx, q, s, found.Newest)
	if err != nil {
		return Inspection{}, err
	}
	if err := soundThroughout(ctx, q); err != nil {
		return Inspection{}, err
	}
	if marked.version == 0 {
		return Inspection{}, fmt.Errorf("%w: there is nothing in it", ErrNotAStore)
	}
	found.Bytes, found.Engine, found.Version = info.Size(), "SQLite", marked.version
	return found, s.look(ctx, q, found.Version)
}

// soundThroughout checks every page and every foreign key.
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
