package knowledge

import (
	"context"
	"database/sql"
	"time"
)

// Inspection is what is found in a store that was looked at and not changed.
type Inspection struct {
	Engine             string // what keeps it, as in "PostgreSQL 15.18"
	Version, Newest    int    // of the store, and the one that this program brings it to
	Communities, Tests int
	Latest             time.Time // when the latest test was logged; zero for none
	LastBackup         time.Time // when the latest nightly backup was made; zero for none
	Bytes              int64     // of a file; 0 for a database
}

// backupsSince is the version of a store since which nightly backups are noted.
const backupsSince = 6

// count fills in what is in the store.
func (i *Inspection) count(ctx context.Context, q querier) error {
	err := q.row(ctx, `
		SELECT (SELECT COUNT(*) FROM communities), COUNT(*), COALESCE(MAX(logged_at), '') FROM tests`,
	).Scan(&i.Communities, &i.Tests, ifAny{&i.Latest})
	if err != nil || i.Version < backupsSince {
		return err
	}
	return q.row(ctx, `SELECT COALESCE(MAX(ended_at), '') FROM backups WHERE state = 'made'`).Scan(ifAny{&i.LastBackup})
}

// ifAny scans a stored time, "" as the zero time.
type ifAny struct{ to *time.Time }

// Scan implements sql.Scanner.
func (c ifAny) Scan(value any) error {
	var text sql.NullString
	if err := text.Scan(value); err != nil || text.String == "" {
		*c.to = time.Time{}
		return err
	}
	return timeColumn(c).Scan(value)
}
