package logline

import (
	"errors"
	"regexp"
	"strings"
	"time"

	"holdbench/internal/quantity"
)

var (
	wordedDay = regexp.MustCompile(`(?:^|[\s,;(])(?:on\s+)?(` + quantity.WordedDay + `)(?:$|[\s,;:.)?])`)
	figureDay = regexp.MustCompile(`(?:^|[\s,;(])(?:on\s+)?(\d{1,2}/\d{1,2}|\d{1,2}\.\d{1,2}\.)(?:$|[\s,;)])`)
	monthPast = regexp.MustCompile(`\b(?:last|back in)\s+((?:jan|febr)uary|march|april|may|june|july|august` +
		`|(?:septem|octo|novem|decem)ber)\b`)
	inchSoon = regexp.MustCompile(`^\s*(?:"|''|inch|in\b)`)
	sizeSoon = regexp.MustCompile(`(?:\dg|gauge|gg|x|(?:^|\s)\d)\s*(?:x|by|,)?\s*$`)
)

// readDays finds the day of the test.
func (r *reader) readDays() {
	for _, pattern := range []*regexp.Regexp{wordedDay, figureDay} {
		for m := pattern.FindSubmatchIndex(r.plain); m != nil; m = pattern.FindSubmatchIndex(r.plain) {
			if pattern == figureDay && !r.isDay(m[2], m[3]) {
				break
			}
			text := r.typed[m[2]:m[3]]
			joined := m[2] > 1 && r.plain[m[2]-1] == ',' && isDigit(r.plain[m[2]-2]) && isDigit(r.plain[m[2]])
			if r.take(m[2], m[3]); joined { // "7,1 nov": part of a number, or not
				r.askWhetherOn(text)
				continue
			}
			r.addDay(text)
		}
	}
	if m := monthPast.FindSubmatchIndex(r.plain); m != nil {
		month := group(r.typed, m, 1)
		r.take(m[0], m[1])
		r.ask(Question{Text: "On which day of " + month + " was the test?", kind: askDay})
	}
}

// number is the value of digits that a pattern has found.
func number(digits string) float64 {
	v, _ := quantity.Number(digits) // the pattern was met
	return v
}

// isDay reports whether two figures with a stroke or a point are a day, not a size and not seconds.
func (r *reader) isDay(from, to int) bool {
	if a, b, ok := strings.Cut(string(r.plain[from:to]), "/"); ok {
		if first, second := int(number(a)), int(number(b)); first > 12 && second > 12 || first > 31 || second > 31 {
			return false // "27/13" is a size
		}
		return !inchSoon.Match(r.plain[to:]) && !sizeSoon.Match(r.plain[:from])
	}
	before, after := r.plain[:from], r.plain[to:]
	return resulted.Match(before) || resulted.Match(after) || strings.HasSuffix(strings.TrimSpace(string(before)),
		" on")
}

func (r *reader) askWhetherOn(day string) {
	r.ask(Question{Text: "Was the test " + day + "?", kind: askDay, Answers: offered(day, "today")})
}

func (r *reader) addDay(text string) {
	day, err := quantity.Day(text, r.today)
	var p *quantity.Problem
	switch {
	case errors.As(err, &p) && len(p.Options) > 0:
		r.ask(Question{Text: "Which day is " + strings.TrimSpace(text) + "?", kind: askDay,
			Answers: offered(p.Options...)})
	case err != nil:
		r.ask(Question{Text: err.Error() + " Which day was the test?", kind: askDay,
			Answers: offered("today", "yesterday")})
	case !r.Day.IsZero() && !r.Day.Equal(day):
		a, b := r.Day.Format(time.DateOnly), day.Format(time.DateOnly)
		r.ask(Question{Text: "Two days are named. Which was it?", kind: askDay, Answers: offered(a, b)})
	case r.today.Sub(day) > longAgo && !yearSaid.MatchString(text):
		was := day.Format(time.DateOnly)
		r.ask(Question{Text: "Was the test on " + was + "?", kind: askDay, Answers: offered(was, "today")})
	default:
		r.Day = day
	}
}

// longAgo is how old a test without its year may be before its day is asked about: 30/11, typed on the 28th, is more
// likely a slip than a test of last year (project's choice).
const longAgo = 180 * 24 * time.Hour

var yearSaid = regexp.MustCompile(`\d{4}|\d+[./-]\d+[./-]\d+|year|months? ago|\d\s+[a-z]+\.?\s+'?\d\d$`)
