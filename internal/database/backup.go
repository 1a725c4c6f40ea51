package database

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Target is where a backup goes.
type Target struct {
	Path    string
	Replace bool // overwrite a file that is there already
	Seal    Seal // nil for a backup that is not encrypted
}

// Seal returns a writer that encrypts into to. The encrypted file is complete once the writer is closed.
type Seal func(to io.Writer) (io.WriteCloser, error)

// Backup copies the store at from into a file and returns what is in the copy. Others may read and write the store
// meanwhile. The copy is made under another name, checked from end to end and synced to the disk before it gets its own
// name; a failure before leaves nothing behind. The copy has the version of the store, which may be older than the
// program. Only the owner can read the file. A backup that is to be encrypted is first copied beside the store, so that
// no unencrypted copy is ever in the folder of the backup.
//
// Errors: ErrDuplicate if the file exists and is not to be replaced; ErrNotAStore, ErrNewerStore, ErrDamaged for the
// store at from.
func Backup(ctx context.Context, s Schema, from string, to Target) (made Inspection, err error) {
	defer Wrap(&err, "back up %s to %s", from, to.Path)
	source, err := os.Stat(from)
	if err != nil {
		return Inspection{}, err
	}
	if there, err := os.Stat(to.Path); err == nil && os.SameFile(source, there) {
		return Inspection{}, errors.New("that is the store itself")
	}
	return makeBackup(ctx, s, to, filepath.Dir(from), copyOfFile(from))
}

// Backup backs up this store, as the function Backup does. A PostgreSQL store is backed up into a SQLite file, too,
// which can be read anywhere and copied back.
func (db *DB) Backup(ctx context.Context, s Schema, to Target) (made Inspection, err error) {
	if file, is := db.engine.(sqliteFile); is {
		if err := db.InPlace(); err != nil {
			return Inspection{}, err // backups of another store would push out the good ones
		}
		return Backup(ctx, s, file.path, to)
	}
	defer Wrap(&err, "back up %s to %s", db.Name(), to.Path)
	return makeBackup(ctx, s, to, db.Workplace(), db.copyToFile)
}

// Workplace is the folder for the unencrypted copy of a backup that is to be encrypted: the store's folder, or the
// system's folder for temporary files where the store is no file.
func (db *DB) Workplace() string {
	if file, is := db.engine.(sqliteFile); is {
		return filepath.Dir(file.path)
	}
	return os.TempDir()
}

// makeBackup lets fill write a copy, encrypts it if it has to, and gives it its name.
func makeBackup(
	ctx context.Context, s Schema, to Target, workplace string, fill func(context.Context, string) error,
) (made Inspection, err error) {
	switch _, err := os.Stat(to.Path); {
	case err == nil && !to.Replace:
		return Inspection{}, fmt.Errorf("%w: a file by that name", ErrDuplicate)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return Inspection{}, err
	}
	beside := to.Path
	if to.Seal != nil {
		beside = filepath.Join(workplace, filepath.Base(to.Path))
	}
	part, made, err := copyAside(ctx, s, beside, fill)
	if err != nil {
		return Inspection{}, err
	}
	defer os.Remove(part) // does nothing once it has its name
	if to.Seal != nil {
		if part, err = sealAside(ctx, part, to); err != nil {
			return Inspection{}, err
		}
		defer os.Remove(part)
	}
	return made, giveName(part, to.Path, to.Replace)
}

// sealAside encrypts a copy into the folder of the backup, under another name.
func sealAside(ctx context.Context, copied string, to Target) (part string, err error) {
	plain, err := os.Open(copied)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, plain.Close()) }()
	file, err := os.CreateTemp(filepath.Dir(to.Path), partPattern(to.Path)) // readable to its owner alone
	if err != nil {
		return "", err
	}
	defer func() {
		if err = errors.Join(err, file.Close()); err != nil {
			os.Remove(file.Name())
		}
	}()
	sealed, err := to.Seal(file)
	if err == nil {
		_, err = io.Copy(sealed, untilDone{ctx, plain})
		err = errors.Join(err, sealed.Close())
	}
	return file.Name(), errors.Join(err, file.Sync())
}

// untilDone is a reader that fails once ctx is done.
type untilDone struct {
	ctx  context.Context
	from io.Reader
}

// Read implements io.Reader.
func (u untilDone) Read(to []byte) (int, error) {
	if err := u.ctx.Err(); err != nil {
		return 0, err
	}
	return u.from.Read(to)
}

// copyOfFile returns a fill that copies a SQLite file.
func copyOfFile(from string) func(context.Context, string) error {
	return func(ctx context.Context, to string) error { return copyDatabase(ctx, from, to) }
}

// copyToFile copies this store into an empty SQLite file.
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

// copyAside lets fill write a copy of a store into the folder of to, under another name, checks the copy and syncs it
// to the disk.
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

// partPattern is the name of unfinished copies, as a pattern for os.CreateTemp.
func partPattern(to string) string { return "." + filepath.Base(to) + ".*.part" }

// giveName gives a finished copy its name. A file of that name is overwritten only if replace is set.
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
	case err != nil: // a disk without hard links
		if err := os.Rename(part, to); err != nil {
			return err
		}
	}
	return syncFolder(to)
}

// syncFolder syncs the folder of path, so that a new name in it survives a power cut.
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
