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
// the time in it, with all that the engine left beside it. kept is that name, that
// of the first file beside it where the store itself was missing, "" if there was
// nothing. The new file has the owner and the mode of the old; a link to the store
// stays one.
//
// No program may have the store open. That is looked for, and told where the
// system can tell it: ErrBusy.
//
// Errors: also ErrNotAStore, ErrNewerStore, ErrDamaged for the file at from. After
// an error the store is what it was, after a power cut the old or the new one.
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
	defer os.Remove(part) // there no more once it has its name
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

// mostLinks are followed to a store, as many as Linux follows.
const mostLinks = 40

// behindLinks is the path of the file itself, there or not, where path may be a
// link to it.
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

// mayBeReplaced refuses the file itself and a store that is in use, also one that
// was deleted under the program that uses it.
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

// steps put the copy in place. Between any two of them the store is the old one or
// the new one, whole: what lies beside the old one is first folded into it, and the
// new one gets its name in one step while the old one has a second.
func (r replacement) steps(ctx context.Context) []func() error {
	return []func() error{
		func() error { return ownAlike(r.part, r.to) },
		func() error { return settle(ctx, r.to) },
		r.keepFile, r.keepSides,
		func() error { return os.Rename(r.part, r.to) },
		func() error { return syncFolder(r.to) },
	}
}

// free refuses names that are taken.
func (r replacement) free() error {
	if taken := first(r.kept); taken != "" {
		return fmt.Errorf("%w: %s", ErrDuplicate, taken)
	}
	return nil
}

// first is the first file there is of a store and what lies beside it, "" for none.
func first(path string) string {
	for _, name := range append([]string{path}, sides(path)...) {
		if _, err := os.Lstat(name); err == nil {
			return name
		}
	}
	return ""
}

// keepFile gives the old store its second name. Where a disk knows no second names
// the old one loses its first.
func (r replacement) keepFile() error {
	err := os.Link(r.to, r.kept)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return os.Rename(r.to, r.kept)
	}
	return nil
}

// keepSides takes what still lies beside the old store away from its name: the
// engine would play it into the new one. A sound store has nothing there by now.
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

// undo makes the old store the store again.
func (r replacement) undo() error {
	if err := os.Rename(r.kept, r.to); errors.Is(err, fs.ErrNotExist) {
		if _, unplaced := os.Lstat(r.part); unplaced != nil {
			os.Remove(r.to) // there was none, and the new one is in its place
		}
	} else if err != nil {
		return err
	}
	os.Remove(r.kept) // two names of one file: renaming one to the other does nothing
	return errors.Join(moveSides(r.kept, r.to), syncFolder(r.to))
}

// settle folds what lies beside a store into it, so that it is whole in one file.
// Of a damaged one, and of one that is missing or empty, nothing is asked: it stays
// as it is.
//
// Errors: ErrBusy where another has the store open; ErrFull, ErrReadOnly.
func settle(ctx context.Context, path string) (err error) {
	if info, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0 {
		return nil // the engine deletes what lies beside an empty file
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
