package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/say"
)

// The words of an untested combination.
const (
	untestedWord  = "UNTESTED"
	untestedWords = "a calculation, not a test"
	unknownWords  = "nothing is known of it yet"
)

// advised returns the hold that may be shown, 0 for a combination whose tests carry none.
func (c ShareByTime) advised() int {
	if c.untested() || c.State != calc.StateHold {
		return 0
	}
	return c.Hold
}

// untestedWords says what an untested picture shows instead.
func (c ShareByTime) untestedWords() string {
	if len(c.Estimate) == 0 {
		return unknownWords
	}
	return untestedWords
}

// facts returns the lines under the headline: what the tests say and what the estimate says.
func (c ShareByTime) facts() []string {
	var facts []string
	by := secondsWords(c.Ceiling)
	if !c.untested() {
		shown, none := c.counts()
		facts = append(facts, fmt.Sprintf("%s by %s: %d shown by %s, %d none",
			say.Count(len(c.Tests), "test"), say.Count(c.Testers, "member"), shown, by, none))
	}
	kind := "Estimate: "
	if c.untested() {
		kind = "Calculated: "
	}
	if e, ok := c.At(c.Ceiling); ok {
		facts = append(facts, kind+estimateWords(e))
	}
	return facts
}

// estimateWords says an estimate with its range.
func estimateWords(e Estimated) string {
	words := say.Share(e.Mean) + " by " + secondsWords(e.Seconds)
	if limits := say.Range(e.Low, e.High); limits != "" {
		words += " (" + limits + ")"
	}
	return words
}

// pullNote says the pull of the estimate and how many tests had another one.
func (c ShareByTime) pullNote() string {
	if len(c.Estimate) == 0 || c.PullML == 0 {
		return ""
	}
	note := fmt.Sprintf("Pull %s mL", say.Number(c.PullML))
	other := 0
	for _, t := range c.Tests {
		if t.PullML > 0 && math.Abs(t.PullML-c.PullML) > 1e-9 {
			other++
		}
	}
	if other > 0 {
		note += fmt.Sprintf(" in the estimate; another pull in %d of the %s", other, say.Count(len(c.Tests), "test"))
	}
	return note + "."
}

// alt says the whole picture in words.
func (c ShareByTime) alt() string {
	lines := []string{fmt.Sprintf("%s, %s.", cut(c.Product, 120), cut(c.Setup, 120))}
	if c.untested() {
		lines[0] = "Untested, " + c.untestedWords() + ": " + lines[0]
	} else {
		lines = append(lines, c.Headline+".")
	}
	for _, fact := range c.facts() {
		lines = append(lines, strings.TrimSuffix(fact, ".")+".")
	}
	lines = append(lines, c.testTimes()...)
	if len(c.Estimate) > 0 {
		lines = append(lines, c.estimateTimes())
	}
	lines = append(lines, fmt.Sprintf("The ceiling is %s.", secondsWords(c.Ceiling)))
	if note := c.pullNote(); note != "" {
		lines = append(lines, note)
	}
	return withCaveats(strings.Join(lines, " "))
}

// altCaveats are the caveats of an alternative text, which has no room for more words.
const altCaveats = say.BriefAlways + " " + say.BriefBedside

// withCaveats adds the caveats to an alternative text, however long it is.
func withCaveats(text string) string {
	return cut(text, mostAlt-1-len(altCaveats)) + " " + altCaveats
}

// testTimes says the shortest and the longest time to flashback, and how long the rest were watched.
func (c ShareByTime) testTimes() []string {
	var shown, none []float64
	slips := 0
	for _, t := range c.Tests {
		if t.None {
			none = append(none, t.Seconds)
		} else {
			shown = append(shown, cmp.Or(t.Told, t.Seconds))
		}
		if t.Slip {
			slips++
		}
	}
	var lines []string
	if len(shown) > 0 {
		lines = append(lines, fmt.Sprintf("Those that showed took %s.", stretch(shown)))
	}
	if len(none) > 0 {
		lines = append(lines, fmt.Sprintf("Those that did not were watched %s.", stretch(none)))
	}
	if slips > 0 {
		lines = append(lines, fmt.Sprintf("Not fitting the others: %d.", slips))
	}
	return lines
}

// stretch says the shortest and the longest of some times.
func stretch(times []float64) string {
	low, high := secondsWords(slices.Min(times)), secondsWords(slices.Max(times))
	if low == high {
		return low
	}
	return low + " to " + high
}

// estimateTimes says the estimate at a few times.
func (c ShareByTime) estimateTimes() string {
	var lines []string
	for _, t := range []float64{1, 3, 10, 30} {
		if e, ok := c.At(t); ok {
			lines = append(lines, estimateWords(e))
		}
	}
	kind := "Estimated"
	if c.untested() {
		kind = "Calculated"
	}
	return kind + " share: " + strings.Join(lines, ", ") + "."
}

// sentence returns the words with a capital at the beginning.
func sentence(words string) string {
	return strings.ToUpper(words[:1]) + words[1:]
}

// falseFirst compares two truths for a sort.
func falseFirst(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// sortedByTime returns the tests by rising time, at equal times those that showed first.
func sortedByTime(tests []TestMark) []TestMark {
	sorted := slices.Clone(tests)
	slices.SortStableFunc(sorted, func(a, b TestMark) int {
		return cmp.Or(cmp.Compare(a.Seconds, b.Seconds), falseFirst(a.None, b.None))
	})
	return sorted
}
