package quantity

import (
	"regexp"
	"strings"
	"time"
)

// ExpiryDate is the pattern of the date on a box.
const ExpiryDate = `(?:\d{4}-\d\d(?:-\d\d)?|(?:\d{1,2}[/.-])?\d{1,2}[/.-]\d{2,4}|` + monthName + `\.?\s*\d{2,4})\b`

var (
	boxMonth = regexp.MustCompile(`^(?:(\d{1,2})[/.-])?(\d{1,2})[/.-](\d{4}|\d\d)$`)
	boxNamed = regexp.MustCompile(`^(` + monthName + `)\.?\s*(\d{4}|\d\d)$`)
)

// Expiry reads the date on a box, 03/2026, 3/26, mar 2026 or 14/03/2026, as 2026-03, which is good to the end of that
// month, or as 2026-03-14.
//
// Errors: *Problem, also for a day that can be read in two ways.
func Expiry(text string) (string, error) {
	plain := strings.ToLower(strings.TrimSpace(text))
	if m := boxNamed.FindStringSubmatch(plain); m != nil {
		plain = monthNumber(m[1]) + "/" + m[2]
	}
	if m := boxMonth.FindStringSubmatch(plain); m != nil {
		return boxFigures(text, m[1], m[2], m[3])
	}
	for _, layout := range []string{"2006-01", time.DateOnly} {
		if _, err := time.Parse(layout, plain); err == nil {
			return plain, nil
		}
	}
	return "", problem(text, "%s is no date on a box: write it like 03/2026 or 2026-03-14.", strings.TrimSpace(text))
}

// boxFigures is a date of a month and a year, or of a day too. Of two figures one is surely the day if it cannot be
// the month.
func boxFigures(text, first, second, year string) (string, error) {
	if len(year) == 2 {
		year = "20" + year
	}
	month, monthErr := time.Parse("2006/1", year+"/"+second)
	if first == "" && monthErr == nil {
		return month.Format("2006-01"), nil
	}
	dayFirst, dayErr := time.Parse("2006/1/2", year+"/"+second+"/"+first)
	monthFirst, err := time.Parse("2006/1/2", year+"/"+first+"/"+second)
	switch {
	case dayErr == nil && (err != nil || dayFirst.Equal(monthFirst)):
		return dayFirst.Format(time.DateOnly), nil
	case err == nil && dayErr != nil:
		return monthFirst.Format(time.DateOnly), nil
	case err == nil:
		return "", problem(text, "%s is %s or %s.", strings.TrimSpace(text), dayFirst.Format("2 January"),
			monthFirst.Format("2 January"))
	}
	return "", problem(text, "%s is no date on a box: write it like 03/2026 or 2026-03-14.", strings.TrimSpace(text))
}
