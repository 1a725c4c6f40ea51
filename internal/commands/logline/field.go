package logline

import (
	"errors"
	"strings"
	"time"

	"holdbench/internal/commands/quantity"
	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// Field is a value that stands alone: an option, or one line of a form.
type Field string

// The fields.
const (
	Result      Field = "result"
	Pull        Field = "pull"
	Liquid      Field = "liquid"
	Temperature Field = "temperature"
	Watched     Field = "watched"
	Timing      Field = "timing"
	Date        Field = "date"
)

// Value is what a field was read as; which part is set goes by the field.
type Value struct {
	Outcome Outcome
	Film    quantity.Film
	Timing  *quantity.Timing
	Number  float64 // pull in mL, temperature in °C, watched in s
	Text    string  // liquid
	Day     time.Time
	Note    string
}

// ReadField reads one field as the same words are read in a line.
//
// Errors: *quantity.Problem, *trade.FieldError.
func ReadField(field Field, text string, today time.Time) (v Value, err error) {
	switch field {
	case Result:
		return readResult(text)
	case Pull:
		if v.Number, err = quantity.Volume(text); err == nil {
			err = trade.CheckRange("pull", v.Number, trade.SmallestPullML, trade.LargestTestedPullML, "mL")
		}
	case Temperature:
		if v.Number, err = quantity.Temperature(text); err == nil {
			err = trade.CheckRange("temperature", v.Number, 0, 45, "°C")
		}
	case Watched:
		if v.Number, err = quantity.Seconds(text); err == nil {
			err = trade.CheckAbove("time watched", v.Number, 0, trade.LongestWatchS, "s")
		}
	case Timing:
		var timing quantity.Timing
		timing, err = quantity.ReadTiming(text)
		v.Timing = &timing
	case Date:
		v.Day, err = quantity.Day(text, today)
	case Liquid:
		r := newReader(text, question.NewIndex(nil, nil, nil), today)
		r.readLiquid()
		if len(r.open) > 0 {
			return v, errors.New(r.open[0].Text)
		}
		if v.Text = r.Liquid; v.Text == "" || strings.Trim(string(r.plain), " ,") != "" {
			v.Text = trade.Tidy(text)
		}
	}
	return v, err
}

// resultAlone reads a result alone: "7.13s", "1:02", "none", "none in 45", or the
// marks of a film. A note may stand beside it. left is what nothing was made of.
func resultAlone(text string, timing *quantity.Timing, watchS float64) (r *reader, left string) {
	r = newReader(text, question.NewIndex(nil, nil, nil), time.Time{})
	r.Timing, r.watchS = timing, watchS
	r.readAsides()
	r.readSpelled()
	r.readTiming()
	r.readOutcome()
	left = strings.TrimRight(strings.TrimLeft(string(r.plain), " ,;:"), " ,.;:") // ".9" keeps its point
	if left != "" && !r.none && len(r.Outcomes)+len(r.open) == 0 && digit.MatchString(left) {
		r.addFlashback(left)
		left = ""
	}
	return r, left
}

// readResult reads a result that is one only where nothing of it is open.
func readResult(text string) (Value, error) {
	r, left := resultAlone(text, nil, 0)
	switch {
	case len(r.open) > 0:
		return Value{}, &quantity.Problem{Text: text, Why: r.open[0].Text}
	case left != "" || len(r.Outcomes) > 1 || r.none == (len(r.Outcomes) > 0):
		return Value{}, resultProblem(text)
	case r.none:
		return Value{Outcome: Outcome{WatchedS: r.watchS}, Timing: r.Timing, Note: r.Note}, nil
	}
	o := r.Outcomes[0]
	o.WatchedS = r.watchS
	if o.Seconds > trade.LongestWatchS {
		return Value{}, &quantity.Problem{Text: text, Why: "At most " + trade.Number(trade.LongestWatchS) + " s can be logged."}
	}
	if r.vague || o.Seconds < soonest || o.Seconds > latest {
		return Value{Outcome: o}, &quantity.Problem{Text: text, Why: o.Typed + " s wants a yes.", Options: []string{o.Typed}}
	}
	return Value{Outcome: o, Film: r.Film, Timing: r.Timing, Note: r.Note}, nil
}

func resultProblem(text string) error {
	return &quantity.Problem{Text: text, Why: strings.TrimSpace(text) + " is not one result: write seconds, none, or a film's start and end."}
}
