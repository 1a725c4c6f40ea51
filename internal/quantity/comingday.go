package quantity

import (
	"regexp"
	"strconv"
	"strings"
	"time"
)

const (
	ahead  = `(?:a|an|one|two|three|four|five|six|\d{1,3})\s*(?:days?|weeks?|months?|d|w)`
	anyDay = `(?:mon|tues|wednes|thurs|fri|satur|sun)day`
)

// Patterns for ComingDay: words before a day in any form, and days that show by themselves that they are to come.
const (
	DayLead      = `(?:by|on|until|till|next|this|coming)`
	ComingInText = `(?:in ` + ahead + `|today|tomorrow|next \w+|` + anyDay + `|\d{4}-\d\d-\d\d)`
)

var (
	dayLead = regexp.MustCompile(`^` + DayLead + `\s+`)
	daysOff = regexp.MustCompile(`^(?:in\s+)?(` + dayCount + `)\s*(days?|weeks?|months?|d|w)(?:\s+from\s+(?:now|today))?$`)
)

// ComingDay reads a day from today on: tomorrow, the next weekday of that name, so many
// days, weeks or months, a day and the name of its month, a date with the year first.
//
// Errors: *Problem.
func ComingDay(text string, today time.Time) (time.Time, error) {
	plain := strings.ToLower(strings.Join(strings.Fields(text), " "))
	lead := dayLead.FindString(plain)
	plain = strings.TrimPrefix(plain, lead)
	today = date(today.Year(), today.Month(), today.Day())
	switch {
	case plain == "today", plain == "tonight":
		return today, nil
	case plain == "tomorrow":
		return today.AddDate(0, 0, 1), nil
	case plain == "week" && lead != "": // next week
		return today.AddDate(0, 0, 7), nil
	}
	if m := named.FindStringSubmatch(plain); m != nil && !strings.HasPrefix(plain, "last") {
		return weekdayBefore(m[1], today.AddDate(0, 0, 8)), nil
	}
	if m := daysOff.FindStringSubmatch(plain); m != nil {
		return off(m[1], m[2], 1, today), nil
	}
	if m := dayMonth.FindStringSubmatch(plain); m != nil {
		return nextOf(text, m[3], monthNumber(m[2]), m[1], today)
	}
	if m := monthDay.FindStringSubmatch(plain); m != nil {
		return nextOf(text, m[3], monthNumber(m[1]), m[2], today)
	}
	day, err := time.Parse(time.DateOnly, plain)
	if err != nil {
		return today, problem(text, "%s is not a day to come.", strings.TrimSpace(text))
	}
	return day, nil
}

// nextOf is a day of the given year, or else the next one from today on.
func nextOf(text, year, month, day string, today time.Time) (time.Time, error) {
	t, err := inCalendar(text, year, month, day, today)
	if err == nil && year == "" && t.Before(today) {
		t, err = inCalendar(text, strconv.Itoa(today.Year()+1), month, day, today)
	}
	return t, err
}
