package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"

	"github.com/pressly/goose/v3"
	versions "github.com/pressly/goose/v3/database"
)

// errOvertaken: another program has applied the migration meanwhile.
var errOvertaken = errors.New("another program is migrating the store")

// migrate brings the store up to date, one transaction per migration. Two programs
// may open a store at once: whoever finds a migration applied by the other looks
// again at what is left to do.
func (db *DB) migrate(ctx context.Context) error {
	files, err := fs.Sub(db.schema.Files, db.engine.folder())
	if err != nil {
		return err
	}
	kept := keptVersion{db.engine, db.schema.Application}
	migrator, err := goose.NewProvider(goose.DialectCustom, db.write, files,
		goose.WithStore(kept), goose.WithSessionLocker(kept), goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return err
	}
	for {
		before, err := db.engine.version(ctx, db.engine.querier(db.write))
		if err != nil || before == db.newest {
			return err
		}
		_, failed := migrator.Up(ctx)
		if failed == nil {
			return nil
		}
		after, err := db.engine.version(ctx, db.engine.querier(db.write))
		if err != nil || after <= before {
			return errors.Join(failed, err)
		}
	}
}

// keptVersion tells goose how far a store is. The version is where released
// programs look for it: they refuse a store that is newer than they are.
type keptVersion struct {
	engine      engine
	application int32
}

// Tablename is never used in a query.
func (keptVersion) Tablename() string { return "store_version" }

// TableExists is always true: a store without a version is at version 0.
func (keptVersion) TableExists(context.Context, versions.DBTxConn) (bool, error) { return true, nil }

// CreateVersionTable is never called.
func (keptVersion) CreateVersionTable(context.Context, versions.DBTxConn) error {
	return versions.ErrNotImplemented
}

// Insert notes, inside the transaction of a migration, that it was applied to the
// version before it.
func (k keptVersion) Insert(ctx context.Context, tx versions.DBTxConn, applied versions.InsertRequest) error {
	q := k.engine.querier(tx)
	at, err := k.engine.version(ctx, q)
	if err != nil {
		return err
	}
	if at != int(applied.Version)-1 {
		return fmt.Errorf("migration %04d on version %d: %w", applied.Version, at, errOvertaken)
	}
	return k.engine.setVersion(ctx, q, int(applied.Version), k.application)
}

// Delete would undo a migration, which is never done.
func (keptVersion) Delete(context.Context, versions.DBTxConn, int64) error {
	return versions.ErrNotImplemented
}

// GetMigration reports whether a migration was applied.
func (k keptVersion) GetMigration(
	ctx context.Context, c versions.DBTxConn, version int64,
) (*versions.GetMigrationResult, error) {
	at, err := k.GetLatestVersion(ctx, c)
	if err == nil && version > at {
		err = versions.ErrVersionNotFound
	}
	return &versions.GetMigrationResult{IsApplied: err == nil}, err
}

// GetLatestVersion returns the version of the store.
func (k keptVersion) GetLatestVersion(ctx context.Context, c versions.DBTxConn) (int64, error) {
	at, err := k.engine.version(ctx, k.engine.querier(c))
	return int64(at), err
}

// ListMigrations lists every version from the store's down to 0.
func (k keptVersion) ListMigrations(
	ctx context.Context, c versions.DBTxConn,
) (all []*versions.ListMigrationsResult, err error) {
	at, err := k.GetLatestVersion(ctx, c)
	for ; err == nil && at >= 0; at-- {
		all = append(all, &versions.ListMigrationsResult{Version: at, IsApplied: true})
	}
	return all, err
}

// SessionLock keeps out other writers from the first migration to the last.
func (k keptVersion) SessionLock(ctx context.Context, c *sql.Conn) error {
	return k.engine.lockSession(ctx, k.engine.querier(c))
}

// SessionUnlock lets them in again.
func (k keptVersion) SessionUnlock(ctx context.Context, c *sql.Conn) error {
	return k.engine.unlockSession(ctx, k.engine.querier(c))
}
