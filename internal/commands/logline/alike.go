package logline

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/quantity"
)

// How many tests a line is about: "3.1 s x3", "3x 3.1 s", "none in 60 s, 2 times".
var (
	timesWords = regexp.MustCompile(`\b(?:twice|both (?:times|tests)|all (three|four|five)(?: times| tests)?` +
		`|(two|three|four|five|[2-9]) (?:times|tests|pulls|goes))\b`)
	timesBehind = regexp.MustCompile(`(?:(?:^|[\s,;(])[x×]\s?([2-9])` +
		`|(?:^|[\s;(])([2-9])\s?(?:[x×]|times|` + lists.Of("times") + `))` + notEnd)
	timesBefore = regexp.MustCompile(`(?:^|[\s,;(])([2-9])\s?(?:[x×]|times)\s*(?:at\s*|@\s*)?` +
		`(?:` + quantity.Duration + `|\d*[.,]\d+(?:$|[\s,;)]))`)
	lengthSoon = regexp.MustCompile(`^\s*(?:mm|cm|inch|"|needle|cann?ula)`)
	// "30g x 4", "0.3 x 8" are sizes
	afterGauge  = regexp.MustCompile(`(?:\dg|gauge|ga|(?:^|\s)[23]\d|(?:^|\s)0?[.,]\d\d?)\s*$`)
	afterResult = regexp.MustCompile(`(?:` + quantity.Duration + `|[.,]\d+|` + noneWords + `[^x×]*|ml)[\s,;)]*$`)
)

// readAlike finds how many equal tests a line is about. It asks about "x3" in a line without a result.
func (r *reader) readAlike() {
	if m := timesBefore.FindSubmatchIndex(r.plain); m != nil {
		r.alike = int(number(r.typed[m[2]:m[3]]))
		end := m[3]
		for end < m[1] && strings.ContainsRune(" x×times@\xc3\x97", rune(r.plain[end])) {
			end++
		}
		r.take(m[2], end)
		return
	}
	if m := timesWords.FindSubmatchIndex(r.plain); m != nil {
		r.alike = 2
		if n, err := quantity.Seconds(cmp.Or(r.text(m, 1), r.text(m, 2))); err == nil {
			r.alike = int(n)
		}
		r.take(m[0], m[1])
		return
	}
	m := timesBehind.FindSubmatchIndex(r.plain)
	if m == nil || afterGauge.Match(r.plain[:m[0]]) || lengthSoon.Match(r.plain[m[1]:]) {
		return
	}
	from, to := m[2], m[3]
	if from < 0 {
		from, to = m[4], m[5]
	}
	if n := r.typed[from:to]; afterResult.Match(r.plain[:m[0]]) {
		r.alike = int(number(n))
	} else {
		r.askResult(strings.TrimSpace(r.typed[m[0]:m[1]])+": "+n+" tests? Write the seconds of each.", n+" s", "none")
	}
	r.take(m[0], m[1])
}

// askAlike asks whether each of several tests had the one result.
func (r *reader) askAlike() {
	one := r.Outcomes[0]
	result := noneText(one.WatchedS)
	if one.Flashback {
		result = one.Typed + " s"
	}
	r.Outcomes = slices.Repeat(r.Outcomes, r.alike)
	r.ask(Question{Text: fmt.Sprintf("Had each of %d tests %s? A mean is no test.", r.alike, result), kind: askSeveral,
		Answers: []Answer{{fmt.Sprintf("yes, %d tests", r.alike), "yes"}, {"only one test, " + result, result}}})
}
