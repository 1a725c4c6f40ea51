package commands

import (
	"errors"
	"fmt"
)

// UserError is a fault in a request. It is shown to the asker alone.
type UserError struct {
	Problem string // one sentence
	Hint    string // what to do about it; may be empty
}

// Error is both sentences.
func (e *UserError) Error() string {
	if e.Hint == "" {
		return e.Problem
	}
	return e.Problem + " " + e.Hint
}

// severalReadings is the fault of an option's value that can be read in several ways.
type severalReadings struct {
	*UserError
	readings []string
}

// told is err; where err is of the given kind it is a UserError instead.
func told(err, kind error, hint, problem string, args ...any) error {
	if errors.Is(err, kind) {
		return refuse(hint, problem, args...)
	}
	return err
}

// refuse makes a UserError; args are those of the problem.
func refuse(hint, problem string, args ...any) *UserError {
	return &UserError{Problem: fmt.Sprintf(problem, args...), Hint: hint}
}
