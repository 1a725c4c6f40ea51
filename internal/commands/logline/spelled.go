package logline

import (
	"regexp"
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// Numbers as they are dictated, in the ways that quantity does not read.
var (
	spelledPoint = regexp.MustCompile(`\b(?:((?:[a-z]+[- ])?[a-z]+|\d{1,2})\s+)?(point\s+([a-z]+|\d{1,3}))` + notEnd)
	spelledUnit  = regexp.MustCompile(`\b((?:[a-z]+[- ])?[a-z]+)\s+(?:degrees?|celsius|percent|per cent|fps)\b`)
	minuteAnd    = regexp.MustCompile(`\b(a|one|two|three|\d{1,2})\s+min(?:ute)?s?,?\s+(?:and\s+)?` +
		`((?:[a-z]+-)?[a-z]+|\d{1,2})(?:\s*` + quantity.SecondUnit + `)?` + notEnd)
	fullMinute = regexp.MustCompile(`\b(?:a|one)\s+(?:full|whole|good|solid|entire)\s+min(?:ute)?\b`)
	milOfPull  = regexp.MustCompile(`\b0?[.,]\d{1,3}\s*(mil)\b`)
	thousandth = regexp.MustCompile(`\b(\d{2,6})\s*(?:ms|msecs?|milliseconds?)\b`)
)

// readSpelled writes dictated numbers in figures, and milliseconds as seconds: "six point four", "twenty degrees", "a
// minute ten", "850 ms".
func (r *reader) readSpelled() {
	for m := thousandth.FindSubmatchIndex(r.plain); m != nil; m = thousandth.FindSubmatchIndex(r.plain) {
		r.write(m[0], m[1], trade.Number(number(r.text(m, 1))/1000)+" s")
	}
	if m := fullMinute.FindIndex(r.plain); m != nil {
		r.write(m[0], m[1], "60 s")
	}
	if m := minuteAnd.FindSubmatchIndex(r.plain); m != nil && !r.otherUnit(m[5]) {
		minutes, err := quantity.Seconds(r.text(m, 1) + " min")
		if v, from := r.spelledEnding(m[4], m[5]); err == nil && from == m[4] && v < 60 {
			r.write(m[2], m[5], trade.Number(minutes+v)+" s")
		}
	}
	for _, m := range spelledPoint.FindAllSubmatchIndex(r.plain, -1) {
		lead, from := 0.0, m[4]
		if m[2] >= 0 {
			lead, from = r.spelledEnding(m[2], m[3])
		}
		said := from < m[4] && from < m[3] // "six point four", not "at this point 4"
		if !said {
			lead, from = 0, m[4]
		}
		if digits := r.text(m, 3); isDigit(digits[0]) && said {
			r.write(from, m[7], trade.Number(lead)+"."+digits)
		} else if v, at := r.spelledEnding(m[6], m[7]); at == m[6] && v < 10 && !isDigit(digits[0]) {
			r.write(from, m[7], trade.Number(lead)+"."+trade.Number(v))
		}
	}
	for _, m := range spelledUnit.FindAllSubmatchIndex(r.plain, -1) {
		if v, from := r.spelledEnding(m[2], m[3]); from < m[3] {
			r.write(from, m[3], trade.Number(v))
		}
	}
	if m := milOfPull.FindSubmatchIndex(r.plain); m != nil {
		r.write(m[2], m[3], "ml")
	}
}

func (r *reader) text(m []int, n int) string { return strings.ToLower(group(r.typed, m, n)) }

// spelledEnding is the number in words or figures at the end of a piece of the line, and where it begins; to for none.
func (r *reader) spelledEnding(from, to int) (v float64, at int) {
	for at = from; ; {
		if v, err := quantity.Seconds(string(r.plain[at:to])); err == nil {
			return v, at
		}
		next := strings.IndexByte(string(r.plain[at:to]), ' ')
		if next < 0 {
			return 0, to
		}
		at += next + 1
	}
}
