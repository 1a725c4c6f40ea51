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

// keptForm is appended to the name of the store that a restore puts aside.
const keptForm = ".before-restore-20060102-150405"

// Restore puts a copy of the store at from in place of the one at to, and returns what is in it. It first checks from
// from end to end, and leaves it as it is. The old store, damaged or not, is kept beside to under a name with the
// time in it, with the files that the engine left beside it. kept is that name; if the old store itself was missing,
// it is the name of the first of those files, or "" if there was none. The new file has the owner and mode of the old
// one, and a link to the store stays a link.
//
// No program may have the store open: Restore returns ErrBusy where the system can tell.
//
// Errors: also ErrNotAStore, ErrNewerStore, ErrDamaged for the file at from. After an error the store is the old one,
// after a power cut the old or the new one.
func Restore(
	ctx context.Context, s Schema, from, to string, now time.Time,
) (restored Inspection, kept string, err error) {
	defer Wrap(&err, "restore %s from %s", to, from)
	if _, err := Inspect(ctx, s, from); err != nil {
		return Inspection{}, "", err
	}
	if to, err = behindLinks(to); err != nil {
		return Inspection{}, "", err
	}
	if err := mayBeReplaced(from, to); err != nil {
		return Inspection{}, "", err
	}
	part, _, err := copyAside(ctx, s, to, copyOfFile(from))
	if err != nil {
		return Inspection{}, "", err
	}
	defer os.Remove(part) // does nothing once it has its name
	r := replacement{part: part, to: to, kept: to + now.UTC().Format(keptForm)}
	if err := r.free(); err != nil {
		return Inspection{}, "", err
	}
	for _, step := range r.steps(ctx) {
		if err := step(); err != nil {
			return Inspection{}, "", errors.Join(err, r.undo())
		}
	}
	if restored, err = Inspect(ctx, s, to); err != nil {
		return Inspection{}, "", errors.Join(err, r.undo())
	}
	return restored, first(r.kept), nil
}

// mostLinks is how many symbolic links Linux follows.
const mostLinks = 40

// behindLinks follows the symbolic links of path, whose target need not exist.
func behindLinks(path string) (string, error) {
	path, err := filepath.Abs(path)
	for range mostLinks {
		next, isNone := os.Readlink(path)
		if err != nil || isNone != nil {
			return path, err
		}
		if !filepath.IsAbs(next) {
			next = filepath.Join(filepath.Dir(path), next)
		}
		path = next
	}
	return "", fmt.Errorf("%s: too many links", path)
}

// mayBeReplaced returns an error if to is the file at from, or is in use, even by a program whose file was deleted.
func mayBeReplaced(from, to string) error {
	source, err := os.Stat(from)
	if err != nil {
		return err
	}
	if there, err := os.Stat(to); err == nil && os.SameFile(source, there) {
		return errors.New("that is the store itself")
	}
	holder, err := heldBy(to)
	if err == nil && holder != 0 {
		err = fmt.Errorf("%w: process %d has it open; end it first", ErrBusy, holder)
	}
	return err
}

// replacement is a finished copy that takes the place of a store.
type replacement struct{ part, to, kept string }

// steps put the copy in place. Between any two of them the store is whole, and the old or the new one: the
// write-ahead log of the old one is first merged into it, and the new one gets its name in one step while the old one
// has a second name.
func (r replacement) steps(ctx context.Context) []func() error {
	return []func() error{
		func() error { return ownAlike(r.part, r.to) },
		func() error { return settle(ctx, r.to) },
		r.keepFile, r.keepSides,
		func() error { return os.Rename(r.part, r.to) },
		func() error { return syncFolder(r.to) },
	}
}

// free returns ErrDuplicate if the name for the old store is taken.
func (r replacement) free() error {
	if taken := first(r.kept); taken != "" {
		return fmt.Errorf("%w: %s", ErrDuplicate, taken)
	}
	return nil
}

// first returns the first file that exists of a store and the files beside it, "" for none.
func first(path string) string {
	for _, name := range append([]string{path}, sides(path)...) {
		if _, err := os.Lstat(name); err == nil {
			return name
		}
	}
	return ""
}

// keepFile gives the old store its second name. On a disk without hard links it loses its first.
func (r replacement) keepFile() error {
	err := os.Link(r.to, r.kept)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return os.Rename(r.to, r.kept)
	}
	return nil
}

// keepSides renames the files that are still beside the old store: the engine would play them into the new one. A sound
// store has none by now.
func (r replacement) keepSides() error {
	if err := moveSides(r.to, r.kept); err != nil {
		return err
	}
	return syncFolder(r.to)
}

func moveSides(from, to string) error {
	for i, side := range sides(from) {
		if err := os.Rename(side, sides(to)[i]); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// undo gives the old store its name back.
func (r replacement) undo() error {
	if err := os.Rename(r.kept, r.to); errors.Is(err, fs.ErrNotExist) {
		if _, unplaced := os.Lstat(r.part); unplaced != nil {
			os.Remove(r.to) // there was no old store, and the new one is in its place
		}
	} else if err != nil {
		return err
	}
	os.Remove(r.kept) // renaming one name of a file to another name of it did nothing
	return errors.Join(moveSides(r.kept, r.to), syncFolder(r.to))
}

// settle merges the write-ahead log of a store into it, so that it is whole in one file. A store that is damaged,
// missing or empty stays as it is.
//
// Errors: ErrBusy if another program has the store open; ErrFull, ErrReadOnly.
func settle(ctx context.Context, path string) (err error) {
	if info, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0 {
		return nil // the engine would delete the log beside an empty file
	}
	db, err := sql.Open("sqlite3", dataSource(path, "mode=rw&_busy_timeout=1000"))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	var mode string
	err = db.QueryRowContext(ctx, `PRAGMA journal_mode = DELETE`).Scan(&mode)
	switch fault := storeFault(err); {
	case fault == ErrBusy:
		return fmt.Errorf("another program has it open: %w", err)
	case fault == ErrFull, fault == ErrReadOnly, ctx.Err() != nil:
		return err
	}
	return nil
}
