package database

import (
	"database/sql"
	"errors"
	"fmt"
)

// The errors that callers can tell apart with errors.Is.
var (
	// ErrNotFound: the community has nothing by that name or number.
	ErrNotFound = errors.New("not found")
	// ErrDuplicate: the community has one by that name already.
	ErrDuplicate = errors.New("already there")
	// ErrNewerStore: the store was written by a newer version of the program.
	ErrNewerStore = errors.New("the store was written by a newer version of this program")
	// ErrNotAStore: something is there, but it is not a store of this program.
	ErrNotAStore = errors.New("it is not a store of this program")

	// ErrBusy: another program held the store for longer than this one waits.
	ErrBusy = errors.New("the store is held by another program")
	// ErrReserved: another program has the name that only one at a time can have.
	ErrReserved = errors.New("another program has it")
	// ErrFull: there is no room left for the store. Nothing was stored.
	ErrFull = errors.New("there is no room left for the store")
	// ErrReadOnly: the store, its folder or its disk may not be written to.
	ErrReadOnly = errors.New("the store cannot be written to")
	// ErrDamaged: the store does not hold what was written to it.
	ErrDamaged = errors.New("the store is damaged")
	// ErrDisk: the system could not read, write or open the store. What was being written may or may not be stored.
	ErrDisk = errors.New("the disk with the store does not work as it should")
	// ErrUnreachable: the store's database does not answer. What was being written may or may not be stored.
	ErrUnreachable = errors.New("the database of the store cannot be reached")
	// ErrNotLetIn is an ErrUnreachable: the server rejects the user, the password or this machine.
	ErrNotLetIn error = known{ErrUnreachable, "the server with the store does not let the user in"}
	// ErrNoDatabase is an ErrUnreachable: the server has no database of that name.
	ErrNoDatabase error = known{ErrUnreachable, "the server has no database of that name"}
	// ErrMoved is an ErrDisk: the opened file was moved, deleted or replaced, or its disk is gone.
	ErrMoved error = known{ErrDisk, "the store is no longer the file that was opened"}
)

// known is one of the faults above, with a known cause.
type known struct {
	fault error
	cause string
}

func (k known) Error() string { return k.cause }

// Is reports whether other is the fault.
func (k known) Is(other error) bool { return other == k.fault }

// Wrap says what was being done when an error arose. doing must not quote what somebody typed, because the error ends
// in the log. A missing row becomes ErrNotFound, a violated unique constraint ErrDuplicate.
func Wrap(err *error, doing string, args ...any) {
	if *err == nil {
		return
	}
	what := fmt.Sprintf(doing, args...)
	switch {
	case errors.Is(*err, ErrNotFound), errors.Is(*err, ErrDuplicate):
		*err = fmt.Errorf("%s: %w", what, *err)
	case errors.Is(*err, sql.ErrNoRows):
		*err = fmt.Errorf("%s: %w", what, ErrNotFound)
	case isTaken(*err):
		*err = fmt.Errorf("%s: %w", what, ErrDuplicate)
	default:
		*err = fmt.Errorf("%s: %w", what, faultNamed(*err))
	}
}

// faultNamed puts the name of a store fault in front of what the engine says.
func faultNamed(err error) error {
	fault := storeFault(err)
	if fault == nil || errors.Is(err, fault) {
		return err
	}
	return fmt.Errorf("%w: %w", fault, err)
}

// isTaken reports whether an error is a violated unique constraint, of either engine.
func isTaken(err error) bool { return isUniqueInSQLite(err) || isUniqueInPostgres(err) }

// storeFault returns which of the faults above an error is, nil if none.
func storeFault(err error) error {
	if fault := sqliteFault(err); fault != nil {
		return fault
	}
	return postgresFault(err)
}
