package database

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Backup copies the store at from into a file at to, while others read and write
// it, and returns what is in the copy. The copy is made under another name,
// checked from end to end, written through to the disk and only then given its
// own; whatever goes wrong before leaves nothing behind. A store that is older than
// the program stays as old. Nobody but its owner can read the file.
//
// Errors: ErrDuplicate if there is a file at to already, unless it is to be
// replaced; ErrNotAStore, ErrNewerStore, ErrDamaged for the store at from.
func Backup(ctx context.Context, s Schema, from, to string, replace bool) (made Inspection, err error) {
	defer Wrap(&err, "back up %s to %s", from, to)
	source, err := os.Stat(from)
	if err != nil {
		return Inspection{}, err
	}
	if there, err := os.Stat(to); err == nil && os.SameFile(source, there) {
		return Inspection{}, errors.New("that is the store itself")
	}
	return makeBackup(ctx, s, to, replace, copyOfFile(from))
}

// Backup backs up this store, as the function of that name does. What is in
// PostgreSQL is backed up into a file of SQLite, too: it can be looked at anywhere,
// and copied back.
func (db *DB) Backup(ctx context.Context, s Schema, to string, replace bool) (made Inspection, err error) {
	if file, is := db.engine.(sqliteFile); is {
		if err := db.InPlace(); err != nil {
			return Inspection{}, err // a backup of another store would push out the good ones
		}
		return Backup(ctx, s, file.path, to, replace)
	}
	defer Wrap(&err, "back up %s to %s", db.Name(), to)
	return makeBackup(ctx, s, to, replace, db.copyToFile)
}

// makeBackup has fill write a copy into a file and gives it its name.
func makeBackup(
	ctx context.Context, s Schema, to string, replace bool, fill func(context.Context, string) error,
) (made Inspection, err error) {
	switch _, err := os.Stat(to); {
	case err == nil && !replace:
		return Inspection{}, fmt.Errorf("%w: a file by that name", ErrDuplicate)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return Inspection{}, err
	}
	part, made, err := copyAside(ctx, s, to, fill)
	if err != nil {
		return Inspection{}, err
	}
	defer os.Remove(part) // there no more once it has its name
	return made, giveName(part, to, replace)
}

// copyOfFile copies the database in a file into another.
func copyOfFile(from string) func(context.Context, string) error {
	return func(ctx context.Context, to string) error { return copyDatabase(ctx, from, to) }
}

// copyToFile makes a store in an empty file with all that is in this one.
func (db *DB) copyToFile(ctx context.Context, path string) (err error) {
	file, err := Open(ctx, path, db.schema)
	if err != nil {
		return err
	}
	_, err = Copy(ctx, db, file)
	if err := errors.Join(err, file.Close()); err != nil {
		return err
	}
	return settle(ctx, path)
}

// copyAside has fill write a copy of a store into the folder of to, under another
// name, checks the copy and writes it through to the disk.
func copyAside(
	ctx context.Context, s Schema, to string, fill func(context.Context, string) error,
) (part string, made Inspection, err error) {
	file, err := os.CreateTemp(filepath.Dir(to), partPattern(to)) // readable to its owner alone
	if err != nil {
		return "", Inspection{}, err
	}
	part = file.Name()
	defer func() {
		err = errors.Join(err, file.Close())
		if err != nil {
			removeStore(file.Name())
		}
	}()
	if err := fill(ctx, part); err != nil {
		return "", Inspection{}, err
	}
	if made, err = Inspect(ctx, s, part); err != nil {
		return "", Inspection{}, err
	}
	return part, made, file.Sync()
}

// partPattern is what unfinished copies are called, as os.CreateTemp wants it.
func partPattern(to string) string { return "." + filepath.Base(to) + ".*.part" }

// giveName gives a finished copy its name, over a file of that name only if that
// is to be replaced.
func giveName(part, to string, replace bool) error {
	if replace {
		if err := os.Rename(part, to); err != nil {
			return err
		}
		return syncFolder(to)
	}
	err := os.Link(part, to)
	switch {
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%w: a file by that name", ErrDuplicate)
	case err != nil: // a disk that knows no second names
		if err := os.Rename(part, to); err != nil {
			return err
		}
	}
	return syncFolder(to)
}

// syncFolder makes a name that was given last through a power cut.
func syncFolder(path string) (err error) {
	folder, err := os.Open(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	return folder.Sync()
}

// sides are the files that SQLite may keep beside a database.
func sides(path string) []string { return []string{path + "-wal", path + "-shm", path + "-journal"} }

func removeStore(path string) {
	for _, name := range append(sides(path), path) {
		os.Remove(name)
	}
}
