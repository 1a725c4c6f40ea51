package knowledge

import (
	"context"
	"database/sql"
	"time"

	"holdbench/internal/database"
)

// Inspection is what a store contains, found without changing it.
type Inspection struct {
	database.Inspection
	Communities, Tests int
	Latest             time.Time // when the latest test was logged; zero for none
	LastBackup         time.Time // when the latest nightly backup was made; zero for none
	Noted              []Noted   // when the program's own tasks were last begun
}

// backupsSince is the first store version that records nightly backups.
const backupsSince = 6

// count fills in what the store contains.
func (i *Inspection) count(ctx context.Context, q database.Querier, version int) error {
	err := q.Row(ctx, `
		SELECT (SELECT COUNT(*) FROM communities), COUNT(*), COALESCE(MAX(logged_at), '') FROM tests`,
	).Scan(&i.Communities, &i.Tests, ifAny{&i.Latest})
	if err != nil || version < backupsSince {
		return err
	}
	if i.Noted, err = noted(ctx, q); err != nil {
		return err
	}
	return q.Row(ctx, `SELECT COALESCE(MAX(ended_at), '') FROM backups WHERE state = 'made'`).Scan(ifAny{&i.LastBackup})
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
