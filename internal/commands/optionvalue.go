package commands

import (
	"cmp"
	"context"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// read is one value in its plain form; "" where none was given.
func (o Option) read(ctx context.Context, env *Env, value string) (string, error) {
	value = strings.TrimSpace(value)
	switch {
	case value == "" && o.Required:
		return "", refuse(o.accepts(), "The option %s is missing.", o.Name)
	case value == "":
		return "", nil
	case utf8.RuneCountInString(value) > o.most():
		return "", refuse(o.accepts(), "The option %s is longer than %d characters.", o.Name, o.most())
	case len(o.Choices) > 0:
		return o.readChoice(value)
	}
	switch o.Kind {
	case Number, Whole:
		number, err := o.readNumber(value)
		return trimNumber(number), err
	case Date:
		return o.readDate(ctx, env, value)
	case YesNo:
		return o.readYesNo(value)
	}
	return value, nil
}

// most is how many characters the option takes.
func (o Option) most() int { return cmp.Or(o.Most, maxValue) }

// accepts says what the option takes, as a sentence.
func (o Option) accepts() string {
	switch {
	case len(o.Choices) > 0:
		return "It takes " + listWords(o.Choices) + "."
	case o.Kind == Number:
		return "It takes " + trimNumber(o.Min) + " to " + trimNumber(o.Max) + " " + o.Unit + "."
	case o.Kind == Whole:
		return "It takes a whole number, " + trimNumber(o.Min) + " to " + trimNumber(o.Max) + "."
	case o.Kind == Date:
		return "It takes a date such as 2026-05-14, today or yesterday."
	case o.Kind == YesNo:
		return "It takes yes or no."
	}
	return "It takes " + o.Help + "."
}

func (o Option) refuse(value string) error {
	return refuse(o.accepts(), "The option %s cannot be %s.", o.Name, echo(value))
}

func (o Option) readChoice(value string) (string, error) {
	for _, c := range o.Choices {
		if strings.EqualFold(c, value) {
			return c, nil
		}
	}
	return "", o.refuse(value)
}

func (o Option) readYesNo(value string) (string, error) {
	switch strings.ToLower(value) {
	case "yes", "y", "true":
		return "yes", nil
	case "no", "n", "false":
		return "no", nil
	}
	return "", o.refuse(value)
}

// numberForm is a number as people type it, and what stands behind it.
var numberForm = regexp.MustCompile(`^([+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+))\s*([^\d\s.,][^\d.,]*)?$`)

// unitSpellings are the ways a unit may be typed, lower case.
var unitSpellings = map[string][]string{
	"s":  {"s", "sec", "secs", "second", "seconds"},
	"mL": {"ml", "cc", "millilitre", "millilitres", "milliliter", "milliliters"},
	"°C": {"c", "°c", "° c", "º", "°", "ºc", "degc", "deg c", "degrees", "celsius"},
}

// readNumber reads a number in the option's unit. A comma is taken for a decimal
// sign unless three digits follow it: 1,000 may mean two things.
func (o Option) readNumber(value string) (float64, error) {
	m := numberForm.FindStringSubmatch(value)
	if m == nil {
		return 0, o.refuse(value)
	}
	if _, decimals, comma := strings.Cut(m[1], ","); comma && len(decimals) == 3 {
		return 0, refuse("Write decimals with a point.", "The option %s with %s can be read in two ways.", o.Name, echo(value))
	}
	if unit := strings.ToLower(strings.TrimSpace(m[2])); unit != "" && !slices.Contains(unitSpellings[o.Unit], unit) {
		return 0, o.refuse(value)
	}
	number, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
	if err != nil || !(number >= o.Min && number <= o.Max) {
		return 0, o.refuse(value)
	}
	if o.Kind == Whole && number != math.Trunc(number) {
		return 0, o.refuse(value)
	}
	return number, nil
}

const dateForm = "2006-01-02"

// readDate reads a day in the community's time zone, not one to come.
func (o Option) readDate(ctx context.Context, env *Env, value string) (string, error) {
	today, err := env.today(ctx)
	if err != nil {
		return "", err
	}
	switch strings.ToLower(value) {
	case "today":
		return today.Format(dateForm), nil
	case "yesterday":
		return today.AddDate(0, 0, -1).Format(dateForm), nil
	}
	day, err := time.Parse(dateForm, value)
	if err != nil {
		return "", o.refuse(value)
	}
	if day.Format(dateForm) > today.Format(dateForm) {
		return "", refuse("Today is "+today.Format(dateForm)+".", "The option %s cannot be %s, a day still to come.", o.Name, day.Format(dateForm))
	}
	return day.Format(dateForm), nil
}
