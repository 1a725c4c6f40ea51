package knowledge

import (
	"context"
	"time"

	"holdbench/internal/database"
)

// Target is where a backup goes, and whether it is encrypted.
type Target = database.Target

// Backup copies the store in the file at from into another file and returns what the copy
// contains, as [database.Backup] does.
func Backup(ctx context.Context, from string, to Target) (made Inspection, err error) {
	return inspected(func(s database.Schema) (database.Inspection, error) {
		return database.Backup(ctx, s, from, to)
	})
}

// Workplace is the folder in which a backup is made before it is encrypted, as
// [database.DB.Workplace] says.
func (s *Store) Workplace() string { return s.db.Workplace() }

// Backup backs up this store, as [database.DB.Backup] does.
func (s *Store) Backup(ctx context.Context, to Target) (made Inspection, err error) {
	return inspected(func(schema database.Schema) (database.Inspection, error) {
		return s.db.Backup(ctx, schema, to)
	})
}

// Restore replaces the store at to by the one in the file at from. It returns what that
// contains and where the replaced one is kept, as [database.Restore] does.
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

// Copy copies communities with everything they know into another store: those with the refs
// given, or all. Tests keep their numbers. See [database.Copy].
func Copy(ctx context.Context, from, to *Store, refs ...string) (database.Copied, error) {
	return database.Copy(ctx, from.db, to.db, refs...)
}
