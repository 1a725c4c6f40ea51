package calc

import (
	"fmt"
	"math"
)

// RangeError says that an argument lies outside the domain of a computation. Every function of
// this package returns it for bad input; none panics, and none returns NaN.
type RangeError struct {
	Name  string  // the argument, in words
	Value float64 // what was given, in the base unit
	Want  string  // the domain, in words
}

// Error names the argument, its value and what would have been accepted.
func (e *RangeError) Error() string {
	return fmt.Sprintf("%s is %g, want %s", e.Name, e.Value, e.Want)
}

// maxFinite is the largest argument taken: anything above is as good as infinite.
const maxFinite = 1e300

// positive returns a *RangeError unless v is a finite number above 0.
func positive(name string, v float64) error {
	return within(name, v, math.SmallestNonzeroFloat64, maxFinite, "a finite number above 0")
}

// notNegative returns a *RangeError unless v is a finite number, 0 or more.
func notNegative(name string, v float64) error {
	return within(name, v, 0, maxFinite, "a finite number, 0 or more")
}

// within returns a *RangeError, which says what is wanted, unless low ≤ v ≤ high.
func within(name string, v, low, high float64, want string) error {
	if !(v >= low && v <= high) {
		return &RangeError{Name: name, Value: v, Want: want}
	}
	return nil
}
