package commands

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"holdbench/internal/quantity"
)

// read reads a value; today is the day where the group is, and given is false for an empty value.
func (o Option) read(today time.Time, typed string) (v Value, given bool, err error) {
	typed = strings.TrimSpace(typed)
	switch {
	case typed == "":
		return v, false, nil
	case utf8.RuneCountInString(typed) > o.most():
		return v, false, refuse(o.accepts(), "The option %s is longer than %d characters.", o.Name, o.most())
	case len(o.Choices) > 0:
		v.Text, err = o.readChoice(typed)
		return v, true, err
	}
	v.Text = typed
	switch o.Kind {
	case Number, Whole:
		v.Number, err = o.readNumber(typed)
	case Date:
		v.Day, err = o.readDate(today, typed)
	case YesNo:
		v.Yes, err = o.readYesNo(typed)
	}
	return v, true, err
}

// most is how many characters a value may have.
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
		return "It takes a day such as 2026-05-14, yesterday, friday or 3 days ago."
	case o.Kind == YesNo:
		return "It takes yes or no."
	}
	return "It takes: " + o.Help + "."
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
	if o.Reads != nil {
		if meant := o.Reads(value); slices.Contains(o.Choices, meant) {
			return meant, nil
		}
	}
	return "", o.refuse(value)
}

func (o Option) readYesNo(value string) (bool, error) {
	switch strings.ToLower(value) {
	case "yes", "y", "true":
		return true, nil
	case "no", "n", "false":
		return false, nil
	}
	return false, o.refuse(value)
}

// readers read a number in each unit that options have.
var readers = map[string]func(string) (float64, error){
	"": quantity.Number, "s": quantity.Seconds, "mL": quantity.Volume, "°C": quantity.Temperature,
	"%": quantity.Percent, "mm": millimetres,
}

// millimetres reads a length, with or without its unit.
func millimetres(text string) (float64, error) {
	return quantity.Number(strings.TrimSpace(strings.TrimSuffix(strings.ToLower(text), "mm")))
}

// readNumber reads a number in the option's unit.
func (o Option) readNumber(value string) (float64, error) {
	digits, below := strings.CutPrefix(value, "-")
	number, err := readers[o.Unit](digits)
	if below {
		number = -number
	}
	var p *quantity.Problem
	switch {
	case errors.As(err, &p) && len(p.Options) > 0:
		return 0, &severalReadings{refuse("Write decimals with a point.",
			"The option %s with %s can be read in two ways.", o.Name, echo(value)), p.Options}
	case err != nil || !(number >= o.Min && number <= o.Max) || o.Kind == Whole && number != math.Trunc(number):
		return 0, o.refuse(value)
	}
	return number, nil
}

const dateForm = "2006-01-02"

// readDate reads a day up to today.
func (o Option) readDate(today time.Time, value string) (time.Time, error) {
	day, err := quantity.Day(value, today)
	var p *quantity.Problem
	switch {
	case errors.As(err, &p) && len(p.Options) > 0:
		return day, &severalReadings{refuse("Pick one.", "Which day is %s?", echo(value)), p.Options}
	case errors.As(err, &p):
		return day, refuse(o.accepts(), "The option %s cannot be %s: %s", o.Name, echo(value), p.Why)
	}
	return day, err
}
