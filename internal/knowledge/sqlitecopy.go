package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/mattn/go-sqlite3"
)

// How a store is copied: so many pages at a time, between which a call can be
// given up.
const (
	copyFrom   = "mode=ro&_query_only=on&_busy_timeout=5000"
	copyTo     = "mode=rw&_synchronous=FULL"
	copyPages  = 4096
	copyPause  = 50 * time.Millisecond // where the engine asks to be tried again
	mostFaults = 3                     // of an integrity check that are told
)

// copyDatabase copies the database at from, as it is at this moment, into the
// empty file at to, by SQLite's online backup. Others may read and write from
// meanwhile: the copy holds a reading transaction, so that what they write neither
// gets into it nor makes it begin again.
func copyDatabase(ctx context.Context, from, to string) error {
	return onConnection(ctx, from, copyFrom, func(source *sqlite3.SQLiteConn) error {
		for _, statement := range []string{`BEGIN`, `SELECT COUNT(*) FROM sqlite_master`} {
			if err := execute(ctx, source, statement); err != nil {
				return err
			}
		}
		defer execute(context.WithoutCancel(ctx), source, `ROLLBACK`) // nothing was written
		return onConnection(ctx, to, copyTo, func(copied *sqlite3.SQLiteConn) error {
			if err := copyInto(ctx, copied, source); err != nil {
				return err
			}
			// Whole in one file, so that it can be read where nothing can be written.
			return execute(ctx, copied, `PRAGMA journal_mode = DELETE`)
		})
	})
}

// onConnection opens a file, hands its one connection over and closes it.
func onConnection(ctx context.Context, path, parameters string, do func(*sqlite3.SQLiteConn) error) (err error) {
	db, err := sql.Open("sqlite3", dataSource(path, parameters))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	connection, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, connection.Close()) }()
	return connection.Raw(func(driver any) error {
		c, ok := driver.(*sqlite3.SQLiteConn)
		if !ok {
			return fmt.Errorf("the driver is a %T", driver)
		}
		return do(c)
	})
}

// execute runs a statement to its end, whatever rows it gives.
func execute(ctx context.Context, c *sqlite3.SQLiteConn, statement string) error {
	_, err := c.ExecContext(ctx, statement, nil)
	return err
}

func copyInto(ctx context.Context, to, from *sqlite3.SQLiteConn) (err error) {
	backup, err := to.Backup("main", from, "main")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, backup.Finish()) }()
	for left := -1; ; left = backup.Remaining() {
		if err := ctx.Err(); err != nil {
			return err
		}
		done, err := backup.Step(copyPages)
		if err != nil || done {
			return err
		}
		if backup.Remaining() == left {
			time.Sleep(copyPause)
		}
	}
}

// Inspect checks the file at path from end to end, without changing it: that it is
// a store of this program and no newer than it, that every page is sound and that
// every row points at one that is there. It reads the whole file.
//
// Errors: ErrNotAStore, ErrNewerStore, ErrDamaged.
func Inspect(ctx context.Context, path string) (found Inspection, err error) {
	defer wrap(&err, "check %s", path)
	texts, err := migrations()
	if err != nil {
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
	if err := recogniseOpen(ctx, db, len(texts)); err != nil {
		return Inspection{}, err
	}
	if err := soundThroughout(ctx, querier{engine: db}); err != nil {
		return Inspection{}, err
	}
	found.Newest, found.Bytes, found.Engine = len(texts), info.Size(), "SQLite"
	q := querier{engine: db}
	if err := q.row(ctx, `PRAGMA user_version`).Scan(&found.Version); err != nil {
		return Inspection{}, err
	}
	if found.Version == 0 {
		return Inspection{}, fmt.Errorf("%w: there is nothing in it", ErrNotAStore)
	}
	return found, found.count(ctx, q)
}

// soundThroughout looks at every page and every reference.
func soundThroughout(ctx context.Context, q querier) error {
	said, err := collect(ctx, q, scanColumn[string], fmt.Sprintf(`PRAGMA integrity_check(%d)`, mostFaults))
	if err != nil {
		return err
	}
	if len(said) != 1 || said[0] != "ok" {
		return fmt.Errorf("%w: %s", ErrDamaged, strings.Join(said, "; "))
	}
	astray, err := collect(ctx, q, func(rows *sql.Rows, table *string) error {
		var row, parent, key any
		return rows.Scan(table, &row, &parent, &key)
	}, `PRAGMA foreign_key_check`)
	if err == nil && len(astray) > 0 {
		return fmt.Errorf("%w: %d rows point at none, the first in %s", ErrDamaged, len(astray), astray[0])
	}
	return err
}
