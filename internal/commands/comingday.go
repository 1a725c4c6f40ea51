package commands

import (
	"context"
	"regexp"
	"strconv"
	"strings"
	"time"
)

var (
	dayLead  = regexp.MustCompile(`^(?:by|on|until|till|next|this|coming)\s+`)
	daysOff  = regexp.MustCompile(`^(?:in\s+)?(a|an|one|two|three|four|six|\d{1,3})\s*(days?|weeks?|months?|d|w)(?:\s+from\s+(?:now|today))?$`)
	dayMonth = regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th)?\s*(?:of\s+)?([a-z]{3,9})\.?$`)
	monthDay = regexp.MustCompile(`^([a-z]{3,9})\.?\s*(\d{1,2})(?:st|nd|rd|th)?$`)
)

var (
	// dayBehind is a day at the end of what was typed, whatever it turns out to be.
	dayBehind = regexp.MustCompile(`(?i)[\s,](?:by|until|till|due)[\s:]+([^,:]{3,30})$`)
	// dayAlone is one without a word in front that says so.
	dayAlone = regexp.MustCompile(`(?i)[\s,](?:on\s+)?(in (?:a|an|one|two|three|four|six|\d{1,3}) (?:days?|weeks?|months?)|today|tomorrow|next \w+|(?:mon|tues|wednes|thurs|fri|satur|sun)day|\d{4}-\d\d-\d\d)$`)
)

// dayInWords takes a day off the end of the text and puts it into the option, where
// that is not given. Whether it is a day is for the option to say.
func dayInWords(_ context.Context, _ *Env, call *Call) (*Card, error) {
	if call.Values[byOption] != "" {
		return nil, nil
	}
	for _, pattern := range []*regexp.Regexp{dayBehind, dayAlone} {
		if m := pattern.FindStringSubmatchIndex(call.text); m != nil {
			call.take(byOption, call.text[m[2]:m[3]])
			call.text = strings.TrimRight(call.text[:m[0]], " ,")
			return nil, nil
		}
	}
	return nil, nil
}

// smallNumber is a number as people write it in a sentence.
func smallNumber(word string) int {
	switch word {
	case "a", "an", "one":
		return 1
	case "two":
		return 2
	case "three":
		return 3
	case "four":
		return 4
	case "six":
		return 6
	}
	n, err := strconv.Atoi(word)
	if err != nil {
		return 0 // the pattern was met: digits
	}
	return n
}

// comingDay reads a day from today on: a date, tomorrow, the next weekday of that
// name, so many days or weeks, a day and the name of its month. Nothing typed is
// "". A date in figures alone is read one way only, the year first.
//
// Errors: *UserError.
func comingDay(typed string, today time.Time) (string, error) {
	plain := strings.Join(strings.Fields(strings.ToLower(typed)), " ")
	lead := dayLead.FindString(plain)
	plain = strings.TrimPrefix(plain, lead)
	switch plain {
	case "":
		if lead == "" {
			return "", nil
		}
	case "today", "tonight":
		return today.Format(dateForm), nil
	case "tomorrow":
		return today.AddDate(0, 0, 1).Format(dateForm), nil
	case "week":
		if lead != "" { // next week
			return today.AddDate(0, 0, 7).Format(dateForm), nil
		}
	}
	if day, ok := weekdayAfter(plain, today); ok {
		return day.Format(dateForm), nil
	}
	if m := daysOff.FindStringSubmatch(plain); m != nil {
		return daysLater(today, smallNumber(m[1]), m[2]).Format(dateForm), nil
	}
	if day, ok := namedDay(plain, today); ok {
		return day.Format(dateForm), nil
	}
	if _, err := time.Parse(dateForm, plain); err != nil {
		return "", refuse("It takes a weekday, tomorrow, in 2 weeks, or a date such as "+today.AddDate(0, 0, 7).Format(dateForm)+".", "The option by cannot be %s.", echo(typed))
	}
	return plain, nil
}

// weekdayAfter is the next day of a name, or of its first letters, after today.
func weekdayAfter(name string, today time.Time) (time.Time, bool) {
	for ahead := 1; ahead <= 7 && len(name) >= 3; ahead++ {
		day := today.AddDate(0, 0, ahead)
		if strings.HasPrefix(strings.ToLower(day.Weekday().String()), name) {
			return day, true
		}
	}
	return time.Time{}, false
}

// daysLater is so many days, weeks or months from a day.
func daysLater(today time.Time, n int, unit string) time.Time {
	switch unit[0] {
	case 'w':
		return today.AddDate(0, 0, 7*n)
	case 'm':
		return today.AddDate(0, n, 0)
	}
	return today.AddDate(0, 0, n)
}

// namedDay is the next 14 may, may 14 or 14th of may.
func namedDay(text string, today time.Time) (time.Time, bool) {
	var number, month string
	if m := dayMonth.FindStringSubmatch(text); m != nil {
		number, month = m[1], m[2]
	} else if m := monthDay.FindStringSubmatch(text); m != nil {
		number, month = m[2], m[1]
	} else {
		return time.Time{}, false
	}
	n := smallNumber(number)
	for m := time.January; m <= time.December; m++ {
		if !strings.HasPrefix(strings.ToLower(m.String()), month) {
			continue
		}
		day := time.Date(today.Year(), m, n, 0, 0, 0, 0, today.Location())
		if day.Format(dateForm) < today.Format(dateForm) {
			day = time.Date(today.Year()+1, m, n, 0, 0, 0, 0, today.Location())
		}
		return day, day.Month() == m && n > 0 // no 31 june
	}
	return time.Time{}, false
}
