package commands

import (
	"context"
	"regexp"
	"strings"
	"time"

	"holdbench/internal/quantity"
)

var (
	// dayBehind is what follows a word such as "by" at the end of a line, a day or not.
	dayBehind = regexp.MustCompile(`(?i)[\s,](?:by|until|till|due)[\s:]+([^,:]{3,30})$`)
	// dayAlone is a day at the end of a line without such a word.
	dayAlone = regexp.MustCompile(`(?i)[\s,](?:on\s+)?(` + quantity.ComingInText + `)$`)
)

// dayInWords moves a day from the end of the text into the option, unless that is given. The option finds out whether
// it is a day.
func dayInWords(_ context.Context, _ *Env, call *Call) error {
	if call.Values[byOption] != "" {
		return nil
	}
	for _, pattern := range []*regexp.Regexp{dayBehind, dayAlone} {
		if m := pattern.FindStringSubmatchIndex(call.text); m != nil {
			call.take(byOption, call.text[m[2]:m[3]])
			call.text = strings.TrimRight(call.text[:m[0]], " ,")
			return nil
		}
	}
	return nil
}

// comingDay reads a day from today on. It returns "" where nothing was typed.
//
// Errors: *UserError.
func comingDay(typed string, today time.Time) (string, error) {
	if strings.TrimSpace(typed) == "" {
		return "", nil
	}
	day, err := quantity.ComingDay(typed, today)
	if err != nil {
		example := today.AddDate(0, 0, 7).Format(dateForm)
		return "", refuse("It takes a weekday, tomorrow, in 2 weeks, or a date such as "+example+".",
			"The option by cannot be %s.", echo(typed))
	}
	return day.Format(dateForm), nil
}
