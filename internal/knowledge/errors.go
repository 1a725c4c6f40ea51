package knowledge

import (
	"errors"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// What can go wrong that a caller may want to ask for with errors.Is.
var (
	// ErrNotFound: the community has nothing by that name or number.
	ErrNotFound = database.ErrNotFound
	// ErrDuplicate: the community has one by that name already.
	ErrDuplicate = database.ErrDuplicate

	// The store's own faults, as [database] tells them.

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

// wrap gives an error the name of what was being done, as [database.Wrap] does.
// Values refused by a rule go through as they are: their words are meant for people.
func wrap(err *error, doing string, args ...any) {
	var field *trade.FieldError
	if !errors.As(*err, &field) {
		database.Wrap(err, doing, args...)
	}
}
