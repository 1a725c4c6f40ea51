package knowledge

import (
	"context"
	"embed"
	"io/fs"

	"holdbench/internal/database"
)

//go:embed migrations
var migrationFiles embed.FS

// applicationID marks a store as one of this program.
const applicationID = 0x484C4442

// schema describes a store of communities to package database.
func schema() (database.Schema, error) {
	files, err := fs.Sub(migrationFiles, "migrations")
	return database.Schema{
		Files: files, Application: applicationID, Tenants: "communities", TenantColumn: "community_id",
	}, err
}

// inspected runs do with a schema that also counts what the store contains.
func inspected(do func(s database.Schema) (database.Inspection, error)) (found Inspection, err error) {
	s, err := schema()
	if err != nil {
		return Inspection{}, err
	}
	s.Look = func(ctx context.Context, q database.Querier, version int) error { return found.count(ctx, q, version) }
	if found.Inspection, err = do(s); err != nil {
		return Inspection{}, err
	}
	return found, nil
}
