package knowledge

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
	// ErrNewerStore: the file was written by a newer version of the program.
	ErrNewerStore = errors.New("the store was written by a newer version of this program")
	// ErrNotAStore: the file is there, but it is not a store of this program.
	ErrNotAStore = errors.New("the file is not a store of this program")
)

// FieldError says that a value was refused by a rule, in words for the person
// who typed it.
type FieldError struct {
	Field   string // the value, by its everyday name: "pull", "note"
	Problem string // what is wrong with it and what would be accepted
}

// Error names the value and what is wrong with it.
func (e *FieldError) Error() string { return e.Field + ": " + e.Problem }

// refuse builds a *FieldError.
func refuse(field, problem string, args ...any) error {
	return &FieldError{Field: field, Problem: fmt.Sprintf(problem, args...)}
}

// wrap gives an error the name of what was being done, once. A missing row
// becomes ErrNotFound and a broken uniqueness rule ErrDuplicate; values refused
// by a rule go through as they are, for their words are meant for people.
func wrap(err *error, doing string, args ...any) {
	if *err == nil {
		return
	}
	var field *FieldError
	if errors.As(*err, &field) {
		return
	}
	what := fmt.Sprintf(doing, args...)
	switch {
	case errors.Is(*err, ErrNotFound), errors.Is(*err, ErrDuplicate):
		*err = fmt.Errorf("%s: %w", what, *err)
	case errors.Is(*err, sql.ErrNoRows):
		*err = fmt.Errorf("%s: %w", what, ErrNotFound)
	case isUniqueViolation(*err):
		*err = fmt.Errorf("%s: %w", what, ErrDuplicate)
	default:
		*err = fmt.Errorf("%s: %w", what, *err)
	}
}
