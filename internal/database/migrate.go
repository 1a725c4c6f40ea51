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

// errOvertaken: another program has applied the migration first.
var errOvertaken = errors.New("another program is migrating the store")

// migrate brings the store up to date, one transaction for each migration. Two programs may open a store at once: one
// that finds a migration applied by the other starts over with what is left.
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

// keptVersion gives goose the version of a store. It is kept where released programs look for it, so that they refuse a
// store that is newer than they are.
type keptVersion struct {
	engine      engine
	application int32
}

// Tablename is required by goose and never used in a query.
func (keptVersion) Tablename() string { return "store_version" }

// TableExists is always true: a store without a version is at version 0.
func (keptVersion) TableExists(context.Context, versions.DBTxConn) (bool, error) { return true, nil }

// CreateVersionTable is never called, because TableExists is always true.
func (keptVersion) CreateVersionTable(context.Context, versions.DBTxConn) error {
	return versions.ErrNotImplemented
}

// Insert raises the version in the transaction of a migration. It fails if the store is not at the version before.
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

// Delete is never called: no migration is undone.
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

// GetLatestVersion returns the store's version.
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

// SessionLock keeps other writers out from the first migration to the last.
func (k keptVersion) SessionLock(ctx context.Context, c *sql.Conn) error {
	return k.engine.lockSession(ctx, k.engine.querier(c))
}

// SessionUnlock lets other writers in again.
func (k keptVersion) SessionUnlock(ctx context.Context, c *sql.Conn) error {
	return k.engine.unlockSession(ctx, k.engine.querier(c))
}
