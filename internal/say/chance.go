package say

import (
	"fmt"
	"math"
	"strconv"
)

// Chance says a chance as people weigh it: "1 in 1990", to three significant digits, and from 1 in 10
// up "30 in 100".
//
// Domain: 0 to 1; anything else, NaN too, is "unknown".
func Chance(p float64) string {
	switch {
	case !(p >= 0 && p <= 1):
		return "unknown"
	case p < rarest:
		return "fewer than 1 in " + Grouped(int(1/rarest))
	case p >= 0.095:
		return fmt.Sprintf("%d in 100", int(math.Round(100*p)))
	}
	return "1 in " + Grouped(threeDigits(1/p))
}

// rarest is the smallest chance that is told apart from 0.
const rarest = 1e-9

// threeDigits rounds v to three significant digits.
func threeDigits(v float64) int {
	unit := math.Pow(10, max(0, math.Floor(math.Log10(v))-2))
	return int(math.Round(v/unit) * unit)
}

// Grouped writes a whole number with a space at every third digit, from five digits on: "4980", "10
// 000".
func Grouped(n int) string {
	text := strconv.Itoa(n)
	if n < 10_000 && n > -10_000 {
		return text
	}
	first := 0
	if n < 0 {
		first = 1
	}
	for at := len(text) - 3; at > first; at -= 3 {
		text = text[:at] + " " + text[at:]
	}
	return text
}
