package trade

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// CheckRange refuses a number outside low … high, and one that is none.
func CheckRange(field string, v, low, high float64, unit string) error {
	if !(v >= low && v <= high) {
		return Refuse(field, "is %s, want %s to %s %s", Number(v), Number(low), Number(high), unit)
	}
	return nil
}

// CheckAbove is CheckRange with the low end left out.
func CheckAbove(field string, v, low, high float64, unit string) error {
	if !(v > low && v <= high) {
		return Refuse(field, "is %s, want more than %s, at most %s %s", Number(v), Number(low), Number(high), unit)
	}
	return nil
}

// Number writes a number the shortest way that reads back the same.
func Number(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "not a number"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// ReadNumber reads a plain decimal number: digits with at most one decimal
// point or comma. No sign, no exponent, no words.
func ReadNumber(field, text string) (float64, error) {
	plain := strings.Replace(strings.TrimSpace(text), ",", ".", 1)
	digits := 0
	for _, r := range plain {
		switch {
		case r >= '0' && r <= '9':
			digits++
		case r != '.':
			return 0, Refuse(field, "%q is not a plain number", text)
		}
	}
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil || digits == 0 || len(plain) > 20 {
		return 0, Refuse(field, "%q is not a plain number", text)
	}
	return v, nil
}

// Listed writes values one after the other: "a, b, c".
func Listed[T any](values []T) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = fmt.Sprint(v)
	}
	return strings.Join(words, ", ")
}
