package commands

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// shareWords says a share of tests as people say it, rounded to what a bench
// can tell.
//
// Domain: 0 to 1; anything else, NaN too, is "unknown".
func shareWords(share float64) string {
	switch {
	case !(share >= 0 && share <= 1):
		return "unknown"
	case share < 0.005:
		return "none"
	case share < 0.05:
		return "hardly any"
	case share >= 0.975:
		return "nearly all"
	case share >= 0.925:
		return "all but a few"
	case share >= 0.45 && share < 0.55:
		return "about half"
	}
	return fmt.Sprintf("%d in 10", min(9, int(math.Floor(share*10+0.5))))
}

// rangeWords says between which shares a figure lies.
func rangeWords(low, high float64) string {
	a, b := shareWords(low), shareWords(high)
	if a == b {
		return "narrow range"
	}
	return "range " + a + " to " + b
}

// secondsWords is an estimated time: two digits that count, no more, and nothing
// shorter than a hand can tell.
func secondsWords(s float64) string {
	switch {
	case s < 0.1:
		return "0.1 s"
	case s < 9.95:
		return trimNumber(math.Round(s*10)/10) + " s"
	}
	return trimNumber(math.Round(s)) + " s"
}

// exactSeconds is a time that was measured, set or asked for, as it is.
func exactSeconds(s float64) string { return trimNumber(s) + " s" }

// trimNumber is a number without needless zeros.
func trimNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// count is a number of things: "1 test", "12 tests".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

// listWords joins words with commas and a last "or".
func listWords(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
