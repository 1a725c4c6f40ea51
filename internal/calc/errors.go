package calc

import "fmt"

// RangeError says that an argument lies outside the domain of a computation.
// It is what every function of this package returns for bad input: none of
// them panics, and none hands back NaN.
type RangeError struct {
	Name  string  // the argument, in words
	Value float64 // what was given, in the base unit
	Want  string  // the domain, in words
}

// Error names the argument, its value and what would have been accepted.
func (e *RangeError) Error() string {
	return fmt.Sprintf("%s is %g, want %s", e.Name, e.Value, e.Want)
}

// positive returns a *RangeError unless v is a finite number above 0.
func positive(name string, v float64) error {
	if !(v > 0) || v > maxFinite {
		return &RangeError{Name: name, Value: v, Want: "a finite number above 0"}
	}
	return nil
}

// notNegative returns a *RangeError unless v is a finite number, 0 or more.
func notNegative(name string, v float64) error {
	if !(v >= 0) || v > maxFinite {
		return &RangeError{Name: name, Value: v, Want: "a finite number, 0 or more"}
	}
	return nil
}

// maxFinite is the largest argument taken: anything above is as good as infinite.
const maxFinite = 1e300
