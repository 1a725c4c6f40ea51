package logline

import (
	"strings"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// ReadChange reads a line as a change to a test of a combination on the list. A part that the line does not name
// stays, and it need not say an outcome.
func ReadChange(of trade.Combination, text string, ix *question.Index, today time.Time) Line {
	r := newReader(text, ix, today)
	r.of = &of
	return r.line()
}

// setupChanged reads the rest of the line as a combination. Parts that it does not name stay: "30G" alone keeps the
// length.
func (r *reader) setupChanged(was trade.Combination) question.Reading {
	plain := strings.Trim(string(r.plain), " ,?.")
	if plain != "" {
		if f, is := r.ix.ReadFollowUp(plain, was); is && f.BySeconds+f.PullML+f.Result == 0 {
			return r.oneOf(f, was)
		}
		if read := r.ix.Read(plain); read.Outcome == question.One {
			return read
		}
	}
	gel, needle, all := question.StatedAs(was), question.StatedAs(was), question.StatedAs(was)
	gel.Product, needle.Instrument = nil, nil // the line may name one or the other
	var read question.Reading
	for _, stated := range []question.Stated{gel, needle, all} {
		if read = r.ix.ReadQuestion(plain, stated); read.Outcome == question.One {
			return read
		}
	}
	r.Picks = picksOf(r.ix, read)
	return read
}

// oneOf is the one combination that was meant, or the picks of several.
func (r *reader) oneOf(f question.FollowUp, was trade.Combination) question.Reading {
	for _, c := range f.Options {
		sameTube := c.Instrument.Kind == was.Instrument.Kind && c.Instrument.LengthMM == was.Instrument.LengthMM
		if len(f.Options) == 1 || sameTube && c.Product.ID == was.Product.ID && c.Syringe.Name == was.Syringe.Name {
			return question.Reading{Outcome: question.One, Product: c.Product, Instrument: c.Instrument,
				Syringe: c.Syringe}
		}
	}
	for _, c := range f.Options {
		r.Picks = append(r.Picks, question.Choice{Label: c.String(), Stated: question.StatedAs(c)})
	}
	return question.Reading{Outcome: question.Choose, Problem: f.Problem, Hint: "Which was it?"}
}
