package database

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"github.com/mattn/go-sqlite3"
)

// sqliteFile is a store in one file.
type sqliteFile struct{ path string }

// Pragmas stand in the data source name, so that every pooled connection has
// them. Writers take their lock at BEGIN; the reading pool cannot write. What is
// deleted is overwritten: an erased name must not go on lying in free pages, which
// every later backup would carry along.
const (
	everyConnection  = "_foreign_keys=on&_busy_timeout=5000&_synchronous=FULL&_stmt_cache_size=64"
	writeConnection  = everyConnection + "&_journal_mode=WAL&_txlock=immediate&_secure_delete=on"
	readConnection   = everyConnection + "&_query_only=on&_txlock=deferred"
	firstLook        = "mode=rw&_busy_timeout=5000"
	readConnections  = 8
	databaseFileHead = "SQLite format 3\x00"
)

// dataSource names the file for the driver, whatever characters its path has.
func dataSource(path, parameters string) string {
	steps := strings.Split(filepath.ToSlash(path), "/")
	for i, step := range steps {
		steps[i] = url.PathEscape(step)
	}
	return "file:" + strings.Join(steps, "/") + "?" + parameters
}

func (f sqliteFile) name() string { return f.path }

func (f sqliteFile) file() (fs.FileInfo, error) { return os.Stat(f.path) }

func (f sqliteFile) lockFile() (*os.File, error) {
	path, err := behindLinks(f.path)
	if err != nil {
		return nil, err
	}
	file, err := os.OpenFile(path+".lock", os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, err
	}
	if err := ownAlike(file.Name(), path); err != nil {
		return nil, errors.Join(err, file.Close())
	}
	return file, nil
}

func (sqliteFile) folder() string { return "sqlite" }

// open opens the one connection that writes and the pool that reads.
func (f sqliteFile) open(ctx context.Context, s Schema, newest int) (read, write *sql.DB, err error) {
	if err := recognise(ctx, f.path, s, newest); err != nil {
		return nil, nil, err
	}
	write, err = sql.Open("sqlite3", dataSource(f.path, writeConnection))
	if err != nil {
		return nil, nil, err
	}
	write.SetMaxOpenConns(1)
	read, err = sql.Open("sqlite3", dataSource(f.path, readConnection))
	if err != nil {
		return nil, nil, errors.Join(err, write.Close())
	}
	read.SetMaxOpenConns(readConnections)
	read.SetMaxIdleConns(readConnections)
	if err := connect(ctx, write); err != nil {
		return nil, nil, errors.Join(err, read.Close(), write.Close())
	}
	return read, write, nil
}

// How long a program waits for another that opens the same new file, and how often
// it looks.
const (
	openingTimeout = 5 * time.Second
	openingPause   = 20 * time.Millisecond
)

// connect opens the first connection. It turns a new file to WAL, and the engine
// refuses that at once, whatever its busy timeout, while another program does so.
func connect(ctx context.Context, db *sql.DB) error {
	end := time.Now().Add(openingTimeout)
	for {
		err := db.PingContext(ctx)
		var failed sqlite3.Error
		if !errors.As(err, &failed) || failed.Code != sqlite3.ErrBusy || time.Now().After(end) {
			return err
		}
		time.Sleep(openingPause)
	}
}

// recognise looks at a file before anything of it is touched: missing and empty
// files will become stores, others must be one and no newer than the program.
// What cannot be written to is refused before the engine leaves files beside it.
func recognise(ctx context.Context, path string, s Schema, newest int) error {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return createEmpty(path)
	}
	if errors.Is(err, syscall.EISDIR) {
		return fmt.Errorf("%w: it is a folder", ErrNotAStore)
	}
	if err != nil {
		return err
	}
	head := make([]byte, len(databaseFileHead))
	n, err := io.ReadFull(file, head)
	file.Close()
	if n == 0 && errors.Is(err, io.EOF) {
		return nil
	}
	if !bytes.Equal(head, []byte(databaseFileHead)) {
		return fmt.Errorf("%w: it is not a database", ErrNotAStore)
	}
	return recogniseDatabase(ctx, path, s, newest)
}

// createEmpty makes the file readable to its owner alone: it will hold names.
func createEmpty(path string) error {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	return file.Close()
}

func recogniseDatabase(ctx context.Context, path string, s Schema, newest int) (err error) {
	db, err := sql.Open("sqlite3", dataSource(path, firstLook))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	return recogniseOpen(ctx, db, s, newest)
}

// recogniseOpen tells whether an open database is a store, or empty.
func recogniseOpen(ctx context.Context, db *sql.DB, s Schema, newest int) error {
	var id, version, tables int
	err := errors.Join(
		db.QueryRowContext(ctx, `PRAGMA application_id`).Scan(&id),
		db.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&version),
		db.QueryRowContext(ctx, `SELECT COUNT(*) FROM sqlite_master`).Scan(&tables),
	)
	switch {
	case isDamaged(err):
		return fmt.Errorf("%w: it is damaged (%v)", ErrNotAStore, err)
	case err != nil:
		return err
	case id == 0 && version == 0 && tables == 0:
		return nil // an empty database, which becomes a store
	case id != int(s.Application):
		return fmt.Errorf("%w: it is the database of something else", ErrNotAStore)
	}
	return checkVersion(version, newest)
}

func (sqliteFile) querier(r runner) Querier { return Querier{runner: r} }

func (sqliteFile) snapshot() *sql.TxOptions { return nil } // every reading transaction is one

func (sqliteFile) version(ctx context.Context, q Querier) (version int, err error) {
	err = q.Row(ctx, `PRAGMA user_version`).Scan(&version)
	return version, err
}

// setVersion leaves the mark of the application to the first migration.
func (sqliteFile) setVersion(ctx context.Context, q Querier, version int, _ int32) error {
	_, err := q.Exec(ctx, fmt.Sprintf(`PRAGMA user_version = %d`, version))
	return err
}

// turn has nothing to do: there is one connection that writes, and whoever waits
// for it waits for everybody's turn.
func (sqliteFile) turn(context.Context, int64) (done func(), err error) { return func() {}, nil }

// lock has nothing to do: a transaction that writes locks the file when it begins.
func (sqliteFile) lock(context.Context, Querier, int64) error { return nil }

// lockSession has nothing to do: whoever comes second finds a migration applied.
func (sqliteFile) lockSession(context.Context, Querier) error { return nil }

func (sqliteFile) unlockSession(context.Context, Querier) error { return nil }

// spaced has nothing to do: programs that share a file do so on one machine, by
// hand.
func (sqliteFile) spaced(context.Context, string, time.Duration) error { return nil }

func isUniqueInSQLite(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) &&
		(e.ExtendedCode == sqlite3.ErrConstraintUnique || e.ExtendedCode == sqlite3.ErrConstraintPrimaryKey)
}

func isDamaged(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && (e.Code == sqlite3.ErrNotADB || e.Code == sqlite3.ErrCorrupt)
}
