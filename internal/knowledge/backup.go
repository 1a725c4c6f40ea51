package knowledge

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
func Backup(ctx context.Context, from, to string, replace bool) (made Inspection, err error) {
	defer wrap(&err, "back up %s to %s", from, to)
	source, err := os.Stat(from)
	if err != nil {
		return Inspection{}, err
	}
	switch there, err := os.Stat(to); {
	case err == nil && os.SameFile(source, there):
		return Inspection{}, errors.New("that is the store itself")
	case err == nil && !replace:
		return Inspection{}, fmt.Errorf("%w: a file by that name", ErrDuplicate)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return Inspection{}, err
	}
	part, made, err := copyAside(ctx, from, to)
	if err != nil {
		return Inspection{}, err
	}
	defer os.Remove(part) // there no more once it has its name
	return made, giveName(part, to, replace)
}

// Backup backs up this store, as the function of that name does.
func (s *Store) Backup(ctx context.Context, to string, replace bool) (Inspection, error) {
	return Backup(ctx, s.db.name(), to, replace)
}

// copyAside copies a store into the folder of to, under another name, checks the
// copy and writes it through to the disk.
func copyAside(ctx context.Context, from, to string) (part string, made Inspection, err error) {
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
	if err := copyDatabase(ctx, from, part); err != nil {
		return "", Inspection{}, err
	}
	if made, err = Inspect(ctx, part); err != nil {
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
