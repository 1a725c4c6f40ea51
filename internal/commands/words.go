package commands

import (
	"math"
	"strings"

	"holdbench/internal/say"
)

// What cards and pictures say alike is said in one place.
func shareWords(share float64) string  { return say.Share(share) }
func count(n int, thing string) string { return say.Count(n, thing) }
func trimNumber(v float64) string      { return say.Number(v) }

// rangeWords says behind a share between which two it lies; nothing where both are
// said alike.
func rangeWords(low, high float64) string {
	if limits := say.Range(low, high); limits != "" {
		return " (" + limits + ")"
	}
	return ""
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

// someOf joins the first few of a list, and counts the others.
func someOf(list []string, most int, between string) string {
	words := strings.Join(list[:min(len(list), most)], between)
	if more := len(list) - most; more > 0 {
		words += " and " + trimNumber(float64(more)) + " more"
	}
	return words
}

// listWords joins words with commas and a last "or".
func listWords(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	last := len(list) - 1
	return strings.Join(list[:last], ", ") + " or " + list[last]
}
