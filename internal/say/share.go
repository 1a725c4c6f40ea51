package say

import (
	"fmt"
	"math"
)

// Share says a share of tests as people do, rounded to what a bench can tell: "9 in 10". At the ends
// it says no more than is known: "more than 19 in 20".
//
// Domain: 0 to 1; anything else, NaN too, is "unknown".
func Share(share float64) string {
	switch {
	case !(share >= 0 && share <= 1):
		return "unknown"
	case share < 0.05:
		return "fewer than 1 in 20"
	case share >= 0.95:
		return "more than 19 in 20"
	}
	return fmt.Sprintf("%d in 10", int(math.Floor(share*10+0.5)))
}

// Target says the share that a hold must cover exactly as it was set: "9 in 10", "95 in 100".
//
// Domain: 0 to 1, in hundredths.
func Target(share float64) string {
	hundredths := int(math.Round(100 * share))
	if hundredths%10 == 0 {
		return fmt.Sprintf("%d in 10", hundredths/10)
	}
	return fmt.Sprintf("%d in 100", hundredths)
}

// Range says between which shares a figure lies, "" where both ends have the same words.
func Range(low, high float64) string {
	a, b := Share(low), Share(high)
	if a == b {
		return ""
	}
	return a + " to " + b
}
