package database

import (
	"errors"
	"io/fs"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

// sqliteFault returns which of the store's faults an error of SQLite or of the system is, nil if none. It goes by
// SQLite's result codes (sqlite.org/rescode.html), and where those only say that the system failed, by the system's
// error number.
func sqliteFault(err error) error {
	e, is := errors.AsType[sqlite3.Error](err)
	if !is {
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

// systemFault returns which of the store's faults an error of the operating system is, nil if none.
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
