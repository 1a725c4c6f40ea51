package knowledge

import (
	"errors"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// Errors to test for with errors.Is.
var (
	// ErrNotFound: the community has nothing by that name or number.
	ErrNotFound = database.ErrNotFound
	// ErrDuplicate: the community has one by that name already.
	ErrDuplicate = database.ErrDuplicate

	// Faults of the store, as [database] describes them.

	ErrNewerStore  = database.ErrNewerStore
	ErrNotAStore   = database.ErrNotAStore
	ErrBusy        = database.ErrBusy
	ErrReserved    = database.ErrReserved
	ErrFull        = database.ErrFull
	ErrReadOnly    = database.ErrReadOnly
	ErrDamaged     = database.ErrDamaged
	ErrDisk        = database.ErrDisk
	ErrMoved       = database.ErrMoved
	ErrUnreachable = database.ErrUnreachable
	ErrNotLetIn    = database.ErrNotLetIn
	ErrNoDatabase  = database.ErrNoDatabase
)

// wrap adds to an error what was being done, as [database.Wrap] does. A *FieldError stays as
// it is: its words are for members.
func wrap(err *error, doing string, args ...any) {
	var field *trade.FieldError
	if !errors.As(*err, &field) {
		database.Wrap(err, doing, args...)
	}
}
