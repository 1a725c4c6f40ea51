package quantity

import (
	"regexp"
	"strconv"
	"strings"
	"time"
)

const (
	monthName = `(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?` +
		`|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)`
	weekday = `(?:mon(?:day)?|tue(?:s(?:day)?)?|wed(?:s|nesday)?|thu(?:r(?:s(?:day)?)?)?|fri(?:day)?|sat(?:urday)?` +
		`|sun(?:day)?)`
	dayCount = `(?:a|an|one|two|three|four|five|six|seven|couple of|\d{1,3})`
)

// WordedDay is the pattern of a day in words, or in a form that can only be a day.
const WordedDay = `(?:(?:the )?day before yesterday|tomorrow|next (?:week|` + weekday + `)|today|last night` +
	`|(?:yesterday|this) (?:morning|afternoon|evening)|yesterday` +
	`|` + dayCount + `\s*(?:days?|weeks?|d|w)\s+(?:ago|back)|(?:last|this|on)\s+` + weekday + `|` + weekday +
	`|\d{1,2}(?:st|nd|rd|th)?\s*(?:of\s+)?` + monthName + `\b\.?(?:,?\s*\d{4})?` +
	`|` + monthName + `\b\.?\s*\d{1,2}(?:st|nd|rd|th)?\b(?:,?\s*\d{4})?` +
	`|\d{4}-\d{1,2}-\d{1,2}|\d{1,2}/\d{1,2}/\d{2,4}|\d{1,2}\.\d{1,2}\.\d{2,4}|\d{1,2}-\d{1,2}-\d{4})`

var (
	daysBack  = regexp.MustCompile(`^(` + dayCount + `)\s*(d|w|days?|weeks?)\s+(?:ago|back)$`)
	dayMonth  = regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th)?\s*(?:of\s+)?(` + monthName + `)\.?(?:,?\s*(\d{4}))?$`)
	monthDay  = regexp.MustCompile(`^(` + monthName + `)\.?\s*(\d{1,2})(?:st|nd|rd|th)?(?:,?\s*(\d{4}))?$`)
	yearFirst = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$`)
	strokes   = regexp.MustCompile(`^(\d{1,2})([/.-])(\d{1,2})(?:[/.-](\d{4}|\d\d)|\.)?$`)
	named     = regexp.MustCompile(`^(?:last\s+|this\s+)?(` + weekday + `)$`)
)

// Day reads a day up to today: today, yesterday, 2 days ago, last tuesday, 19 nov, 27.11., 28/11/2026, 2026-05-14.
// Without its year it is the latest such day. 3/4 is the third of April or the fourth of March: an error with both.
//
// Errors: *Problem, also for a day to come.
func Day(text string, today time.Time) (time.Time, error) {
	if from, to, english := InEnglish(text); english != "" {
		return Day(text[:from]+english+text[to:], today)
	}
	plain := strings.ToLower(strings.Join(strings.Fields(text), " "))
	plain = strings.TrimPrefix(plain, "on ")
	today = date(today.Year(), today.Month(), today.Day())
	switch plain {
	case "today", "this morning", "this afternoon", "this evening":
		return today, nil
	case "yesterday", "last night", "yesterday morning", "yesterday afternoon", "yesterday evening":
		return today.AddDate(0, 0, -1), nil
	case "day before yesterday", "the day before yesterday":
		return today.AddDate(0, 0, -2), nil
	}
	if plain == "tomorrow" || strings.HasPrefix(plain, "next ") {
		return today, problem(text, "%s is still to come.", plain)
	}
	if m := daysBack.FindStringSubmatch(plain); m != nil {
		return off(m[1], m[2], -1, today), nil
	}
	if m := named.FindStringSubmatch(plain); m != nil {
		return weekdayBefore(m[1], today), nil
	}
	if m := dayMonth.FindStringSubmatch(plain); m != nil {
		return past(text, m[3], monthNumber(m[2]), m[1], today)
	}
	if m := monthDay.FindStringSubmatch(plain); m != nil {
		return past(text, m[3], monthNumber(m[1]), m[2], today)
	}
	if m := yearFirst.FindStringSubmatch(plain); m != nil {
		return past(text, m[1], m[2], m[3], today)
	}
	if m := strokes.FindStringSubmatch(plain); m != nil {
		return inFigures(text, m, today)
	}
	return time.Time{}, problem(text, "%s is not a day: write it like 19 nov or 2026-05-14.", strings.TrimSpace(text))
}

func date(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

// off is so many days, weeks or months from today; sign is -1 for the past.
func off(count, unit string, sign int, today time.Time) time.Time {
	n, err := strconv.Atoi(count)
	if err != nil {
		n = 2 // a couple of
	}
	if v, ok := Spelled(count); ok {
		n = int(v)
	}
	switch unit[0] {
	case 'w':
		return today.AddDate(0, 0, 7*n*sign)
	case 'm':
		return today.AddDate(0, n*sign, 0)
	}
	return today.AddDate(0, 0, n*sign)
}

// weekdayBefore is the last day of that name before today.
func weekdayBefore(name string, today time.Time) time.Time {
	for n := 1; n < 7; n++ {
		day := today.AddDate(0, 0, -n)
		if strings.HasPrefix(strings.ToLower(day.Weekday().String()), name[:3]) {
			return day
		}
	}
	return today.AddDate(0, 0, -7)
}

func monthNumber(name string) string {
	for m := time.January; m <= time.December; m++ {
		if strings.HasPrefix(strings.ToLower(m.String()), name[:3]) {
			return strconv.Itoa(int(m))
		}
	}
	return ""
}

// inFigures reads a day and a month in figures. With points the day comes first; with strokes it may come second.
func inFigures(text string, m []string, today time.Time) (time.Time, error) {
	year := m[4]
	if len(year) == 2 {
		year = "20" + year
	}
	first, firstErr := past(text, year, m[3], m[1], today)
	second, secondErr := past(text, year, m[1], m[3], today)
	switch {
	case m[2] == ".", secondErr != nil:
		return first, firstErr
	case firstErr != nil || first.Equal(second):
		return second, secondErr
	}
	p := problem(text, "%s is %s or %s.", strings.TrimSpace(text), first.Format("2 January"),
		second.Format("2 January"))
	p.Options = []string{first.Format(time.DateOnly), second.Format(time.DateOnly)}
	return time.Time{}, p
}

// past is a day of the given year, or else the latest one up to today.
func past(text, year, month, day string, today time.Time) (time.Time, error) {
	t, err := inCalendar(text, year, month, day, today)
	if err == nil && year == "" && t.After(today) {
		t, err = inCalendar(text, strconv.Itoa(today.Year()-1), month, day, today)
	}
	switch {
	case err != nil:
		return t, err
	case t.After(today):
		return t, problem(text, "%s is still to come.", strings.TrimSpace(text))
	case t.Before(today.AddDate(-20, 0, 0)):
		return t, problem(text, "%s is long ago.", strings.TrimSpace(text))
	}
	return t, nil
}

// inCalendar is a day of the given year, or else of this one.
func inCalendar(text, year, month, day string, today time.Time) (time.Time, error) {
	m, _ := strconv.Atoi(month) // cannot fail: the patterns have digits only
	d, _ := strconv.Atoi(day)
	y := today.Year()
	if year != "" {
		y, _ = strconv.Atoi(year)
	}
	t := date(y, time.Month(m), d)
	if m < 1 || m > 12 || t.Day() != d {
		return t, problem(text, "%s is not in the calendar.", strings.TrimSpace(text))
	}
	return t, nil
}
