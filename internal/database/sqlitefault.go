package database

import (
	"errors"
	"io/fs"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

// sqliteFault is which of the store's own faults an error of SQLite or of the
// system is, nil if it is none of them. The codes are SQLite's result codes (sqlite.org/rescode.html); where it
// says no more than that the system refused, the system's number says why.
func sqliteFault(err error) error {
	var e sqlite3.Error
	if !errors.As(err, &e) {
		return systemFault(err)
	}
	switch e.Code {
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return ErrBusy
	case sqlite3.ErrFull:
		return ErrFull
	case sqlite3.ErrReadonly, sqlite3.ErrPerm:
		return ErrReadOnly
	case sqlite3.ErrCorrupt, sqlite3.ErrNotADB:
		return ErrDamaged
	case sqlite3.ErrIoErr, sqlite3.ErrCantOpen:
		if fault := systemFault(e.SystemErrno); fault != nil {
			return fault
		}
		return ErrDisk
	}
	return nil
}

// systemFault is what an error of the operating system means for the store.
func systemFault(err error) error {
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return ErrFull
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return ErrReadOnly
	case errors.Is(err, syscall.EIO):
		return ErrDisk
	}
	return nil
}
