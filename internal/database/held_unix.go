//go:build unix

package database

import (
	"errors"
	"os"
	"syscall"
)

// Where SQLite locks its files (sqlite.org/src, os.h: PENDING_BYTE): whoever has a
// store open holds a lock there, writing or not.
const (
	lockStart  = 0x40000000
	lockLength = 512
)

// heldBy returns the process that has the database at path open, 0 for none. This
// process itself does not count, and must not have it open: closing any handle on
// a file gives up its locks.
func heldBy(path string) (process int, err error) {
	file, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	lock := syscall.Flock_t{Type: syscall.F_WRLCK, Start: lockStart, Len: lockLength}
	if err := syscall.FcntlFlock(file.Fd(), syscall.F_GETLK, &lock); err != nil {
		return 0, err
	}
	if lock.Type == syscall.F_UNLCK {
		return 0, nil
	}
	return int(lock.Pid), nil
}
