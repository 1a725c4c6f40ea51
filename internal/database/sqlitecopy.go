package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"github.com/mattn/go-sqlite3"
)

// How a SQLite file is copied: in steps of some pages, between which the copy can be given up.
const (
	copyFrom  = "mode=ro&_query_only=on&_busy_timeout=5000"
	copyTo    = "mode=rw&_synchronous=FULL"
	copyPages = 4096
	copyPause = 50 * time.Millisecond // before a step is tried again
)

// copyDatabase copies the database at from into the empty file at to, by SQLite's online backup. Others may read and
// write from meanwhile. The copy holds a reading transaction, so that what they write neither gets into it nor makes it
// start over.
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
			// Without WAL mode the copy is one file and can be read where nothing can be written.
			return execute(ctx, copied, `PRAGMA journal_mode = DELETE`)
		})
	})
}

// onConnection opens a file, passes its one connection to do and closes it.
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

// execute runs a statement and ignores its rows.
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

// Overwrite empties the write-ahead log, which may still hold content that was erased from the store. done is false
// if a reader prevents it: call it again later.
func (db *DB) Overwrite(ctx context.Context) (done bool, err error) {
	defer Wrap(&err, "empty the write-ahead log")
	if _, is := db.engine.(sqliteFile); !is {
		return true, nil
	}
	c, err := db.write.Conn(ctx)
	if err != nil {
		return false, err
	}
	defer func() { err = errors.Join(err, c.Close()) }()
	// Do not wait for readers: writers wait meanwhile.
	if _, err := c.ExecContext(ctx, `PRAGMA busy_timeout = 0`); err != nil {
		return false, err
	}
	var busy, pages, moved int
	err = c.QueryRowContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &pages, &moved)
	_, backErr := c.ExecContext(context.WithoutCancel(ctx), `PRAGMA busy_timeout = 5000`)
	return busy == 0 && err == nil, errors.Join(err, backErr)
}
