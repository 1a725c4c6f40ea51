package trade

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"holdbench/internal/quantity"
)

// CheckRange refuses a number outside low … high, and NaN.
func CheckRange(field string, v, low, high float64, unit string) error {
	if !(v >= low && v <= high) {
		return Refuse(field, "%s cannot be; it takes %s to %s%s", Number(v), Number(low), Number(high), spaced(unit))
	}
	return nil
}

// CheckAbove is CheckRange without the low end itself.
func CheckAbove(field string, v, low, high float64, unit string) error {
	if !(v > low && v <= high) {
		return Refuse(field, "%s cannot be; it takes more than %s, at most %s%s", Number(v), Number(low), Number(high),
			spaced(unit))
	}
	return nil
}

// spaced puts a space before a unit, if there is one.
func spaced(unit string) string {
	if unit == "" {
		return ""
	}
	return " " + unit
}

// Number writes a number the shortest way that reads back the same.
func Number(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "not a number"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// ReadNumber reads a plain decimal number as quantity.Number does.
//
// Errors: *FieldError.
func ReadNumber(field, text string) (float64, error) {
	v, err := quantity.Number(text)
	var p *quantity.Problem
	switch {
	case errors.As(err, &p) && len(p.Options) > 0:
		return 0, Refuse(field, "%q can be read in two ways; write %s", text, strings.Join(p.Options, " or "))
	case err != nil:
		return 0, Refuse(field, "%q is not a plain number", text)
	}
	return v, nil
}

// Listed writes values with commas between them: "a, b, c".
func Listed[T any](values []T) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = fmt.Sprint(v)
	}
	return strings.Join(words, ", ")
}
