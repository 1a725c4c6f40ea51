package database

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"
	"testing"

	"github.com/mattn/go-sqlite3"
)

// The codes and what they mean are from sqlite.org/rescode.html, the system's
// numbers from errno(3).
func TestEngineFaultsHaveNames(t *testing.T) {
	cases := map[string]struct {
		err  error
		want error
	}{
		"busy":                    {sqlite3.Error{Code: sqlite3.ErrBusy}, ErrBusy},
		"a table is locked":       {sqlite3.Error{Code: sqlite3.ErrLocked}, ErrBusy},
		"full":                    {sqlite3.Error{Code: sqlite3.ErrFull}, ErrFull},
		"beyond the quota":        {sqlite3.Error{Code: sqlite3.ErrIoErr, SystemErrno: syscall.EDQUOT}, ErrFull},
		"beyond the largest file": {sqlite3.Error{Code: sqlite3.ErrIoErr, SystemErrno: syscall.EFBIG}, ErrFull},
		"read-only":               {sqlite3.Error{Code: sqlite3.ErrReadonly}, ErrReadOnly},
		"the disk has become read-only": {sqlite3.Error{Code: sqlite3.ErrIoErr, SystemErrno: syscall.EROFS},
			ErrReadOnly},
		"may not be opened": {sqlite3.Error{Code: sqlite3.ErrCantOpen, SystemErrno: syscall.EACCES},
			ErrReadOnly},
		"cannot be opened": {sqlite3.Error{Code: sqlite3.ErrCantOpen, SystemErrno: syscall.EMFILE},
			ErrDisk},
		"the disk fails":           {sqlite3.Error{Code: sqlite3.ErrIoErr, SystemErrno: syscall.EIO}, ErrDisk},
		"corrupt":                  {sqlite3.Error{Code: sqlite3.ErrCorrupt}, ErrDamaged},
		"no database":              {sqlite3.Error{Code: sqlite3.ErrNotADB}, ErrDamaged},
		"no right to the file":     {&fs.PathError{Op: "open", Err: syscall.EACCES}, ErrReadOnly},
		"a rule of ours is broken": {sqlite3.Error{Code: sqlite3.ErrConstraint}, nil},
		"something else":           {errors.New("something else"), nil},
	}
	for what, c := range cases {
		err := fmt.Errorf("inside: %w", c.err)
		Wrap(&err, "log test")
		if got := storeFault(err); !errors.Is(got, c.want) {
			t.Errorf("%s: %v, want %v", what, got, c.want)
		}
		if c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%s: %v does not say %v", what, err, c.want)
		}
		if !errors.Is(err, c.err) {
			t.Errorf("%s: the cause is lost in %v", what, err)
		}
	}
}
