package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// keptForm is what is put behind the name of a store that was put aside.
const keptForm = ".before-restore-20060102-150405"

// Restore puts the store in the file at from in place of the one at to, and
// returns what is in it. The file is checked from end to end first and stays as it
// is; the store that was there, damaged or not, is kept beside under a name with
// the time in it, "" if there was none.
//
// No program may have the store open. That is looked for, and told where the
// system can tell it: ErrBusy.
//
// Errors: also ErrNotAStore, ErrNewerStore, ErrDamaged for the file at from. After
// an error the store is what it was.
func Restore(
	ctx context.Context, s Schema, from, to string, now time.Time,
) (restored Inspection, kept string, err error) {
	defer Wrap(&err, "restore %s from %s", to, from)
	if _, err := Inspect(ctx, s, from); err != nil {
		return Inspection{}, "", err
	}
	if to, err = filepath.Abs(to); err != nil {
		return Inspection{}, "", err
	}
	if err := mayBeReplaced(from, to); err != nil {
		return Inspection{}, "", err
	}
	part, restored, err := copyAside(ctx, s, to, copyOfFile(from))
	if err != nil {
		return Inspection{}, "", err
	}
	defer os.Remove(part) // there no more once it has its name
	if kept, err = putAside(ctx, to, now); err != nil {
		return Inspection{}, "", err
	}
	if err := os.Rename(part, to); err != nil {
		if kept != "" {
			err = errors.Join(err, moveStore(kept, to))
		}
		return Inspection{}, "", err
	}
	return restored, kept, syncFolder(to)
}

// mayBeReplaced refuses the file itself and a store that is in use.
func mayBeReplaced(from, to string) error {
	there, err := os.Stat(to)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	source, err := os.Stat(from)
	if err != nil {
		return err
	}
	if os.SameFile(source, there) {
		return errors.New("that is the store itself")
	}
	holder, err := heldBy(to)
	if err == nil && holder != 0 {
		err = fmt.Errorf("%w: process %d has it open; end it first", ErrBusy, holder)
	}
	return err
}

// putAside renames the store at path, with what lies beside it. kept is its new
// name, "" if there was none.
func putAside(ctx context.Context, path string, now time.Time) (kept string, err error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err := settle(ctx, path); err != nil {
		return "", err
	}
	kept = path + now.UTC().Format(keptForm)
	if _, err := os.Stat(kept); err == nil {
		return "", fmt.Errorf("%w: %s", ErrDuplicate, kept)
	}
	return kept, moveStore(path, kept)
}

// settle folds what lies beside a store into it, so that it is whole in one file.
// It fails where another has the store open; of a damaged one nothing is asked.
func settle(ctx context.Context, path string) (err error) {
	db, err := sql.Open("sqlite3", dataSource(path, "mode=rw&_busy_timeout=1000"))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	var mode string
	err = db.QueryRowContext(ctx, `PRAGMA journal_mode = DELETE`).Scan(&mode)
	if errors.Is(storeFault(err), ErrBusy) {
		return fmt.Errorf("another program has it open: %w", err)
	}
	return nil
}

// moveStore renames a store and what lies beside it.
func moveStore(from, to string) error {
	if err := os.Rename(from, to); err != nil {
		return err
	}
	for i, side := range sides(from) {
		if err := os.Rename(side, sides(to)[i]); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}
