package say

import (
	"fmt"
	"math"
)

// Share says a share of tests as people say it, rounded to what a bench can tell.
//
// Domain: 0 to 1; anything else, NaN too, is "unknown".
func Share(share float64) string {
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
