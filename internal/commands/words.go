package commands

import (
	"math"
	"slices"
	"strings"

	"holdbench/internal/say"
)

// Cards and pictures use the same words for these.
func shareWords(share float64) string  { return say.Share(share) }
func count(n int, thing string) string { return say.Count(n, thing) }
func trimNumber(v float64) string      { return say.Number(v) }

// rangeWords are the limits of a share in brackets, "" where both round to the same words.
func rangeWords(low, high float64) string {
	if limits := say.Range(low, high); limits != "" {
		return " (" + limits + ")"
	}
	return ""
}

// secondsWords is an estimated time in s, to one decimal below 10 s and to none above, and at least the 0.1 s that a
// hand can time.
func secondsWords(s float64) string {
	switch {
	case s < 0.1:
		return "0.1 s"
	case s < 9.95:
		return trimNumber(math.Round(s*10)/10) + " s"
	}
	return trimNumber(math.Round(s)) + " s"
}

// exactSeconds is a time in s that was measured, set or asked for, unrounded.
func exactSeconds(s float64) string { return trimNumber(s) + " s" }

// someOf joins the first most of a list and counts the others.
func someOf(list []string, most int, between string) string {
	words := strings.Join(list[:min(len(list), most)], between)
	if more := len(list) - most; more > 0 {
		words += " and " + trimNumber(float64(more)) + " more"
	}
	return words
}

// joinNonEmpty joins the parts that are not empty.
func joinNonEmpty(between string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), between)
}

// listWords joins words with commas and a last "or".
func listWords(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	last := len(list) - 1
	return strings.Join(list[:last], ", ") + " or " + list[last]
}
