package patientdata

import (
	"regexp"
	"strconv"
)

// OldestDate is the year before which a full date is a date of birth: no box and no test of the trade is older, and
// nobody younger is treated (project's choice).
const OldestDate = 2012

// english are the months that may stand before a year of two digits. Those of other languages, such as "set" and
// "out", are too often something else.
const english = `(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?`

const (
	day      = `\b(?:0?[1-9]|[12]\d|3[01])`
	fullYear = `(?:19|20)\d\d`
	ordinal  = `(?:st|nd|rd|th|er|[ºª])?[ .-]{0,2}(?:of |de |d'|d' ?)?`
)

var (
	digitsOnly = regexp.MustCompile(`\d+`)
	monthBegin = words{begin: beginningsOf(foldWords(lists.Of("month")), "")}
	month      = `(?:` + foldWords(lists.Of("month")) + `)\pL*\.?`

	// Dates with day, month and year in figures, in the orders they are written in.
	datesInFigures = []*regexp.Regexp{
		regexp.MustCompile(`\b` + fullYear + `(?: ?[-/.] ?|\. )\d{1,2}(?: ?[-/.] ?|\. )\d{1,2}\b`),
		regexp.MustCompile(`\b` + fullYear + `年 ?\d{1,2}月(?: ?\d{1,2}日)?`),
		regexp.MustCompile(`\b` + fullYear + `(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])\b`),
		regexp.MustCompile(day + ` ?[-/.] ?(?:0?[1-9]|[12]\d|3[01]) ?[-/.] ?(?:` + fullYear + `|\d\d)\b`),
		regexp.MustCompile(day + `[ ./-]{1,3}(?:i{1,3}|iv|vi{0,3}|ix|xi{0,2})[ ./-]{1,3}(?:` + fullYear + `|\d\d)\b`),
	}

	// The same with the month's name.
	datesWithNames = []*regexp.Regexp{
		regexp.MustCompile(`\b\d{1,2}` + ordinal + month + `,?[ -]{0,2}(?:de |del |of )?(?:` + fullYear + `|'\d\d)\b`),
		regexp.MustCompile(`\b\d{1,2}` + ordinal + english + `,?[ -]{0,2}'?\d\d\b`),
		regexp.MustCompile(`(?:^|[^\pL])` + month + ` ?\d{1,2}(?:st|nd|rd|th)?,? ?(?:` + fullYear + `|'\d\d)\b`),
		regexp.MustCompile(`\b` + fullYear + `[. ]{1,3}` + month + ` \d{1,2}\b`),
	}

	// A month with its year.
	monthInFigures = regexp.MustCompile(`(?:^|[^\d./-])(?:0?[1-9]|1[0-2]) ?[-/.] ?` + fullYear + `\b`)
	monthWithName  = regexp.MustCompile(`(?:^|[^\pL])` + month + ` (?:of |de )?` + fullYear + `\b`)
)

// dates are the patterns of the full dates that the text may have.
func (t reading) dates() []*regexp.Regexp {
	switch {
	case t.runs < 2 && t.longest < len("19850421"):
		return nil
	case monthBegin.mayBeIn(t):
		return append(datesInFigures[:len(datesInFigures):len(datesInFigures)], datesWithNames...)
	}
	return datesInFigures
}

// oldDate finds a full date that is old enough to be somebody's birth.
func oldDate(t reading) string { return oldIn(t.folded, t.dates()) }

// oldMonth finds a month as old as that: of a birth or of an old device.
func oldMonth(t reading) string {
	switch {
	case t.longest < len("1985"):
		return ""
	case monthBegin.mayBeIn(t):
		return oldIn(t.rest, []*regexp.Regexp{monthInFigures, monthWithName})
	}
	return oldIn(t.rest, []*regexp.Regexp{monthInFigures})
}

func oldIn(text string, patterns []*regexp.Regexp) string {
	for _, pattern := range patterns {
		for _, date := range pattern.FindAllString(text, -1) {
			if old(date) {
				return birth
			}
		}
	}
	return ""
}

func (t reading) withoutDates(text string) string {
	for _, pattern := range t.dates() {
		text = pattern.ReplaceAllString(text, " · ")
	}
	return text
}

func old(date string) bool {
	year := yearOf(digitsOnly.FindAllString(date, -1))
	return year >= 1900 && year < OldestDate
}

// yearOf returns the year among the digits of a date: the group of four, the first four of eight, or else the last
// group. Two digits from 30 on are 1930–1999; those below are of this century.
func yearOf(groups []string) int {
	year := groups[len(groups)-1]
	for _, group := range groups {
		if len(group) >= 4 {
			year = group[:4]
		}
	}
	switch n, _ := strconv.Atoi(year); { // digits only: cannot fail
	case n < 30:
		return 2000 + n
	case n < 100:
		return 1900 + n
	default:
		return n
	}
}
