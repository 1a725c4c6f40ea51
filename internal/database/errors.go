package database

import (
	"database/sql"
	"errors"
	"fmt"
)

// What can go wrong that a caller may want to ask for with errors.Is.
var (
	// ErrNotFound: the community has nothing by that name or number.
	ErrNotFound = errors.New("not found")
	// ErrDuplicate: the community has one by that name already.
	ErrDuplicate = errors.New("already there")
	// ErrNewerStore: the store was written by a newer version of the program.
	ErrNewerStore = errors.New("the store was written by a newer version of this program")
	// ErrNotAStore: something is there, but it is not a store of this program.
	ErrNotAStore = errors.New("it is not a store of this program")

	// ErrBusy: another program has held the store for longer than is waited.
	ErrBusy = errors.New("the store is held by another program")
	// ErrReserved: another program has what only one at a time can have.
	ErrReserved = errors.New("another program has it")
	// ErrFull: there is no room left for the store. Nothing was stored.
	ErrFull = errors.New("there is no room left for the store")
	// ErrReadOnly: the store, its folder or its disk may not be written to.
	ErrReadOnly = errors.New("the store cannot be written to")
	// ErrDamaged: what is in the store is not what was written to it.
	ErrDamaged = errors.New("the store is damaged")
	// ErrDisk: the system could not read, write or open the store. After it nobody
	// knows whether what was being written is there.
	ErrDisk = errors.New("the disk with the store does not work as it should")
	// ErrUnreachable: the database of the store does not answer, or no longer. After
	// it nobody knows whether what was being written is there.
	ErrUnreachable = errors.New("the database of the store cannot be reached")
	// ErrNotLetIn is an ErrUnreachable: the server answers and does not take the user
	// or the password, or nobody from this machine.
	ErrNotLetIn error = known{ErrUnreachable, "the server with the store does not let the user in"}
	// ErrNoDatabase is an ErrUnreachable: the server has no database of that name.
	ErrNoDatabase error = known{ErrUnreachable, "the server has no database of that name"}
	// ErrMoved is an ErrDisk: the file that was opened is no longer where it was
	// opened. It was moved, deleted or replaced, or its disk is gone.
	ErrMoved error = known{ErrDisk, "the store is no longer the file that was opened"}
)

// known is a fault whose cause is known.
type known struct {
	fault error
	cause string
}

func (k known) Error() string { return k.cause }

// Is makes it one of its kind.
func (k known) Is(other error) bool { return other == k.fault }

// Wrap gives an error the name of what was being done, once, without what somebody
// typed: it ends in the log, and the log has no words of anybody's. A missing row
// becomes ErrNotFound and a broken uniqueness rule ErrDuplicate.
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

// faultNamed puts the store's own faults by name in front of what the engine says.
func faultNamed(err error) error {
	fault := storeFault(err)
	if fault == nil || errors.Is(err, fault) {
		return err
	}
	return fmt.Errorf("%w: %w", fault, err)
}

// isTaken reports whether an error is a broken uniqueness rule, of either database.
func isTaken(err error) bool { return isUniqueInSQLite(err) || isUniqueInPostgres(err) }

// storeFault is which of the store's own faults an error is, nil if it is none of
// them.
func storeFault(err error) error {
	if fault := sqliteFault(err); fault != nil {
		return fault
	}
	return postgresFault(err)
}
