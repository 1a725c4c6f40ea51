package testsheet

import (
	"errors"
	"regexp"
	"strconv"
	"strings"
	"time"

	"holdbench/internal/quantity"
)

var (
	clockBehind = regexp.MustCompile(`(?i)[ T]+\d{1,2}[:.]\d\d(?:[:.]\d\d(?:\.\d+)?)?\s*(?:am|pm|z)?$`)
	inFigures   = regexp.MustCompile(`^(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d\d)$`)
	serial      = regexp.MustCompile(`^\d{5}(?:\.\d+)?$`)
	weekdayMark = regexp.MustCompile(`(?i)^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*[,. ]+`)
)

// serialStart is day 0 of the numbers by which spreadsheets keep days.
var serialStart = time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)

// plainDay is a cell of a day without the time of day and the day of the week.
func plainDay(text string) string {
	text = strings.TrimSpace(clockBehind.ReplaceAllString(text, ""))
	if rest := weekdayMark.ReplaceAllString(text, ""); strings.ContainsAny(rest, "0123456789") {
		text = rest
	}
	if serial.MatchString(text) {
		if days, err := strconv.ParseFloat(text, 64); err == nil {
			return serialStart.AddDate(0, 0, int(days)).Format(time.DateOnly)
		}
	}
	return text
}

// surveyDay finds out whether a day can be read in two ways, or shows in which order days are
// written.
func (p *Plan) surveyDay(text string) {
	text = plainDay(text)
	m := inFigures.FindStringSubmatch(text)
	if m == nil || strings.Contains(text, ".") && !strings.Contains(text, "/") {
		return // with points the day always comes first
	}
	day, err := quantity.Day(text, p.lists.Today)
	var unclear *quantity.Problem
	switch {
	case errors.As(err, &unclear) && len(unclear.Options) > 0:
		p.ambiguous = text
	case err == nil && m[1] != m[2]:
		first, _ := strconv.Atoi(m[1])
		p.dayFirst = p.dayFirst || day.Day() == first
		p.monthFirst = p.monthFirst || day.Day() != first
	}
}

// day reads the cell of a day; one in figures by the order that the sheet shows or that was
// answered.
func (p *Plan) day(text string) (string, error) {
	text = plainDay(text)
	if m := inFigures.FindStringSubmatch(text); m != nil {
		if order := p.order(); order != "" {
			day, month := m[1], m[2]
			if order == MonthFirst && !strings.Contains(text, ".") {
				day, month = month, day
			}
			if len(m[3]) == 2 {
				m[3] = "20" + m[3]
			}
			text = m[3] + "-" + month + "-" + day
		}
	}
	day, err := quantity.Day(text, p.lists.Today)
	return day.Format(time.DateOnly), err
}

// order is how days in figures are written, "" if it is not known or not needed.
func (p *Plan) order() string {
	switch said := p.answers[orderKey]; {
	case p.ambiguous == "":
		return "" // each can be read by itself
	case said != "":
		return said
	case p.dayFirst && !p.monthFirst:
		return DayFirst
	case p.monthFirst && !p.dayFirst:
		return MonthFirst
	}
	return ""
}
