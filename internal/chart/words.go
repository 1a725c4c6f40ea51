package chart

import (
	"math"

	"holdbench/internal/say"
)

// What cards and pictures say alike is said in one place.
func shareWords(share float64) string  { return say.Share(share) }
func count(n int, thing string) string { return say.Count(n, thing) }
func trimmed(v float64) string         { return say.Number(v) }

// secondsWords is a time with no needless zeros: "8 s", "0.4 s".
func secondsWords(s float64) string {
	if s >= 100 {
		s = math.Round(s)
	}
	return trimmed(math.Round(s*100)/100) + " s"
}
