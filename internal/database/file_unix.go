//go:build unix

package database

import (
	"cmp"
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// Where SQLite locks its files. A program that has a store open holds one lock in the file itself (sqlite.org/src,
// os.h: PENDING_BYTE) and another in the index of its write-ahead log (os_unix.c: UNIX_SHM_BASE to UNIX_SHM_DMS).
const (
	lockStart, lockLength           = 0x40000000, 512
	indexLockStart, indexLockLength = 120, 9
)

// heldBy returns the process that has the database at path open, 0 for none. One whose file was deleted meanwhile is
// found by the index. This process does not count, and must not have the file open: closing any of its handles would
// give up its locks.
func heldBy(path string) (process int, err error) {
	holder, err := lockedBy(path, lockStart, lockLength)
	index, indexErr := lockedBy(path+"-shm", indexLockStart, indexLockLength)
	return cmp.Or(holder, index), errors.Join(err, indexErr)
}

func lockedBy(path string, start, length int64) (process int, err error) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	lock := syscall.Flock_t{Type: syscall.F_WRLCK, Start: start, Len: length}
	if err := syscall.FcntlFlock(file.Fd(), syscall.F_GETLK, &lock); err != nil {
		return 0, err
	}
	if lock.Type == syscall.F_UNLCK {
		return 0, nil
	}
	return int(lock.Pid), nil
}

// reserve takes the lock of a name in a file, until the file is closed or this process ends. The process that has the
// lock can take it again.
//
// Errors: ErrReserved.
func reserve(file *os.File, name string) error {
	lock := syscall.Flock_t{Type: syscall.F_WRLCK, Start: int64(crc32.ChecksumIEEE([]byte(name))), Len: 1}
	err := syscall.FcntlFlock(file.Fd(), syscall.F_SETLK, &lock)
	if !errors.Is(err, syscall.EAGAIN) && !errors.Is(err, syscall.EACCES) {
		return err
	}
	if err := syscall.FcntlFlock(file.Fd(), syscall.F_GETLK, &lock); err != nil {
		return err
	}
	return fmt.Errorf("%w: process %d", ErrReserved, lock.Pid)
}

// ownAlike gives a file the owner, group and mode of the store at path, so that whoever ran the store can go on. If
// there is no store, it gives the owner and group of its folder.
func ownAlike(file, path string) error {
	like, err := os.Stat(path)
	if err == nil {
		err = os.Chmod(file, like.Mode().Perm())
	} else if errors.Is(err, fs.ErrNotExist) {
		like, err = os.Stat(filepath.Dir(path))
	}
	made, madeErr := os.Stat(file)
	if err := errors.Join(err, madeErr); err != nil {
		return err
	}
	want, is := owner(like), owner(made)
	if want == is || like.IsDir() && os.Geteuid() != 0 {
		return nil
	}
	return os.Chown(file, want.user, want.group)
}

type owners struct{ user, group int }

func owner(info fs.FileInfo) owners {
	if stat, known := info.Sys().(*syscall.Stat_t); known {
		return owners{int(stat.Uid), int(stat.Gid)}
	}
	return owners{-1, -1} // os.Chown leaves the owner as it is
}
