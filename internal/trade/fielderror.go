package trade

import "fmt"

// FieldError says that a rule refused a value, in words for the person who typed it.
type FieldError struct {
	Field   string // the value, by its everyday name: "pull", "note"
	Problem string // what is wrong with it and what would be accepted
}

// Error names the value and what is wrong with it.
func (e *FieldError) Error() string { return e.Field + ": " + e.Problem }

// Refuse builds a *FieldError.
func Refuse(field, problem string, args ...any) error {
	return &FieldError{Field: field, Problem: fmt.Sprintf(problem, args...)}
}
