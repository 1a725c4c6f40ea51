package knowledge

import (
	"context"
	"time"

	"holdbench/internal/database"
)

// Target is where a backup goes, and whether it is encrypted.
type Target = database.Target

// Backup copies the store in the file at from into another file and returns what is
// in the copy, as [database.Backup] does.
func Backup(ctx context.Context, from string, to Target) (made Inspection, err error) {
	return inspected(func(s database.Schema) (database.Inspection, error) {
		return database.Backup(ctx, s, from, to)
	})
}

// Workplace is the folder in which what is to be encrypted is copied first, as
// [database.DB.Workplace] says.
func (s *Store) Workplace() string { return s.db.Workplace() }

// Backup backs up this store, as [database.DB.Backup] does.
func (s *Store) Backup(ctx context.Context, to Target) (made Inspection, err error) {
	return inspected(func(schema database.Schema) (database.Inspection, error) {
		return s.db.Backup(ctx, schema, to)
	})
}

// Restore puts the store in the file at from in place of the one at to and returns
// what is in it and where the other is kept, as [database.Restore] does.
func Restore(ctx context.Context, from, to string, now time.Time) (restored Inspection, kept string, err error) {
	restored, err = inspected(func(s database.Schema) (found database.Inspection, err error) {
		found, kept, err = database.Restore(ctx, s, from, to, now)
		return found, err
	})
	return restored, kept, err
}

// Inspect looks at the store in a file, as [database.Inspect] does.
func Inspect(ctx context.Context, path string) (found Inspection, err error) {
	return inspected(func(s database.Schema) (database.Inspection, error) { return database.Inspect(ctx, s, path) })
}

// InspectDatabase looks at a database of PostgreSQL, as [database.InspectDatabase]
// does.
func InspectDatabase(ctx context.Context, url string) (found Inspection, err error) {
	return inspected(func(s database.Schema) (database.Inspection, error) {
		return database.InspectDatabase(ctx, s, url)
	})
}

// Copy copies communities with all they know from one store into another: those
// with the refs named, or all. Members know tests by their numbers, which stay as
// they are. [database.Copy] says the rest.
func Copy(ctx context.Context, from, to *Store, refs ...string) (database.Copied, error) {
	return database.Copy(ctx, from.db, to.db, refs...)
}
