package database

import (
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

// Pragmas are in the data source name, so that every pooled connection has them. Writers take their lock at BEGIN; the
// reading pool cannot write. Deleted content is overwritten, because an erased name would otherwise stay in free pages
// and get into every later backup.
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
	if err := recogniseFile(ctx, f.path, s, newest); err != nil {
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

// How long to wait for another program that opens the same new file, and how often to try.
const (
	openingTimeout = 5 * time.Second
	openingPause   = 20 * time.Millisecond
)

// connect opens the first connection, which turns a new file to WAL mode. While another program does so, the engine
// refuses it at once, whatever the busy timeout.
func connect(ctx context.Context, db *sql.DB) error {
	end := time.Now().Add(openingTimeout)
	for {
		err := db.PingContext(ctx)
		failed, is := errors.AsType[sqlite3.Error](err)
		if !is || failed.Code != sqlite3.ErrBusy || time.Now().After(end) {
			return err
		}
		time.Sleep(openingPause)
	}
}

// recogniseFile checks a file before anything in it is touched, as Schema.accept does. It makes a missing one, and
// refuses one that cannot be written to before the engine leaves files beside it.
func recogniseFile(ctx context.Context, path string, s Schema, newest int) (err error) {
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
	if string(head) != databaseFileHead {
		return fmt.Errorf("%w: it is not a database", ErrNotAStore)
	}
	db, err := sql.Open("sqlite3", dataSource(path, firstLook))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	_, err = recognise(ctx, sqliteFile{}.querier(db), s, newest)
	return err
}

// createEmpty makes the file readable to its owner alone: it will hold names.
func createEmpty(path string) error {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	return file.Close()
}

// recognise checks an open database, as Schema.accept does.
func recognise(ctx context.Context, q Querier, s Schema, newest int) (found mark, err error) {
	var tables int
	err = errors.Join(
		q.Row(ctx, `PRAGMA application_id`).Scan(&found.application),
		q.Row(ctx, `PRAGMA user_version`).Scan(&found.version),
		q.Row(ctx, `SELECT COUNT(*) FROM sqlite_master`).Scan(&tables),
	)
	switch {
	case isDamaged(err):
		return mark{}, fmt.Errorf("%w: it is damaged (%v)", ErrNotAStore, err)
	case err != nil:
		return mark{}, err
	}
	found.empty = found.application == 0 && found.version == 0 && tables == 0
	return found, s.accept(found, newest)
}

func (sqliteFile) querier(r runner) Querier { return Querier{runner: r} }

func (sqliteFile) snapshot() *sql.TxOptions { return nil } // every reading transaction sees one state

func (sqliteFile) version(ctx context.Context, q Querier) (version int, err error) {
	err = q.Row(ctx, `PRAGMA user_version`).Scan(&version)
	return version, err
}

// setVersion leaves the application's mark to the first migration.
func (sqliteFile) setVersion(ctx context.Context, q Querier, version int, _ int32) error {
	_, err := q.Exec(ctx, fmt.Sprintf(`PRAGMA user_version = %d`, version))
	return err
}

// turn has nothing to do: writers wait for the one connection that writes.
func (sqliteFile) turn(context.Context, int64) (done func(), err error) { return func() {}, nil }

// lock has nothing to do: a writing transaction locks the file when it begins.
func (sqliteFile) lock(context.Context, Querier, int64) error { return nil }

// lockSession has nothing to do: a second program finds the migration applied.
func (sqliteFile) lockSession(context.Context, Querier) error { return nil }

func (sqliteFile) unlockSession(context.Context, Querier) error { return nil }

// spaced has nothing to do: only PostgreSQL is shared by several serving programs.
func (sqliteFile) spaced(context.Context, string, time.Duration) error { return nil }

func isUniqueInSQLite(err error) bool {
	e, is := errors.AsType[sqlite3.Error](err)
	return is && (e.ExtendedCode == sqlite3.ErrConstraintUnique || e.ExtendedCode == sqlite3.ErrConstraintPrimaryKey)
}

func isDamaged(err error) bool {
	e, is := errors.AsType[sqlite3.Error](err)
	return is && (e.Code == sqlite3.ErrNotADB || e.Code == sqlite3.ErrCorrupt)
}
