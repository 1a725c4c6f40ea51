package chart

import (
	"fmt"
	"math"
	"strconv"
)

// shareWords says a share of tests as people say it, rounded to what a bench
// can tell: the words of the answer that the picture goes with.
func shareWords(share float64) string {
	switch {
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

// secondsWords is a time with no needless zeros: "8 s", "0.4 s".
func secondsWords(s float64) string {
	if s >= 100 {
		s = math.Round(s)
	}
	return trimmed(math.Round(s*100)/100) + " s"
}

// trimmed is a number without needless zeros.
func trimmed(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// count is a number of things: "1 test", "12 tests".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}
