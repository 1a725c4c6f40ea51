package commands

import (
	"cmp"
	"context"
	"errors"
	"math"
	"strings"
	"unicode/utf8"

	"holdbench/internal/quantity"
)

// read is one value in its plain form; "" where none was given. What is required may
// be said in words instead.
func (o Option) read(ctx context.Context, env *Env, value string, said bool) (string, error) {
	value = strings.TrimSpace(value)
	switch {
	case value == "" && o.Required && !said:
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
		return "It takes a day such as 2026-05-14, yesterday, friday or 3 days ago."
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

// readers read a number in the units that options have.
var readers = map[string]func(string) (float64, error){
	"": quantity.Number, "s": quantity.Seconds, "mL": quantity.Volume, "°C": quantity.Temperature,
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
		return 0, refuse("Write decimals with a point.", "The option %s with %s can be read in two ways.", o.Name, echo(value))
	case err != nil || !(number >= o.Min && number <= o.Max) || o.Kind == Whole && number != math.Trunc(number):
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
	day, err := quantity.Day(value, today)
	var p *quantity.Problem
	if errors.As(err, &p) {
		return "", refuse(o.accepts(), "The option %s cannot be %s: %s", o.Name, echo(value), p.Why)
	}
	return day.Format(dateForm), err
}
