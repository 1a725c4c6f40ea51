package logline

import (
	"strings"

	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// Known is what has been said of a line's combination elsewhere: in an option, or by
// a choice. It goes before the words of the line.
type Known struct {
	Product    *trade.Product
	Instrument *trade.Instrument
	Syringe    *trade.Syringe
}

// Of is a combination with what is known in place of its own parts.
func (k Known) Of(c trade.Combination) trade.Combination {
	if k.Product != nil {
		c.Product = *k.Product
	}
	if k.Instrument != nil {
		c.Instrument = *k.Instrument
	}
	if k.Syringe != nil {
		c.Syringe = *k.Syringe
	}
	return c
}

// setupSaid reads what is left of the line as the combination. Words that the line
// and what is known elsewhere say differently are not bent into one.
func (r *reader) setupSaid() question.Reading {
	if r.of != nil {
		return r.setupChanged(*r.of)
	}
	plain := strings.Trim(string(r.plain), " ,?")
	read, k := r.ix.Read(strings.TrimRight(plain, " ,?.")), r.known
	if k == (Known{}) {
		r.Picks = picksOf(r.ix, read)
		return read
	}
	said := r.ix.ReadSetup(plain)
	setup := question.Reading{Outcome: question.One, Product: read.Product, Instrument: said.Instrument,
		Syringe: said.Syringe, Rest: read.Rest,
		PullML: read.PullML, BySeconds: read.BySeconds}
	if k.Product != nil {
		if read.Outcome == question.One && read.Product.ID != k.Product.ID {
			return question.Reading{Outcome: question.Unclear, Problem: "Two gels are named: " + read.Product.Name +
				" and " + k.Product.Name + ".", Hint: "Name one."}
		}
		setup.Product = *k.Product
	} else if p := r.ix.ReadProduct(strings.Trim(plain, " ,.")); p.Known {
		setup.Product = p.Product
	}
	if k.Instrument != nil {
		setup.Instrument = *k.Instrument
		setup.Syringe = read.Syringe
	}
	if k.Syringe != nil {
		setup.Syringe = *k.Syringe
	}
	switch {
	case setup.Product.ID == 0:
		r.Picks = picksOf(r.ix, read)
		return read
	case setup.Instrument.Gauge == 0:
		r.Picks = instrumentPicks(r.ix, setup.Product, said)
		return question.Reading{Outcome: question.Unclear, Problem: said.Problem,
			Hint: "Write its gauge and length, as in 30G 13 mm needle."}
	}
	return setup
}

// Pick is one way to settle what is open of the combination.
type Pick struct {
	Label string
	Known Known
}

// picksOf are the choices of a reading as what they name.
func picksOf(ix *question.Index, read question.Reading) (picks []Pick) {
	for _, choice := range read.Choices {
		again, stated := ix.ReadQuestion(choice.Along, choice.Stated), choice.Stated
		if again.Outcome == question.One {
			picks = append(picks, Pick{choice.Label, Known{&again.Product, &again.Instrument, &again.Syringe}})
			continue
		}
		if stated.Product != nil || stated.Instrument != nil {
			picks = append(picks, Pick{choice.Label, Known{stated.Product, stated.Instrument, stated.Syringe}})
		}
	}
	return picks
}

// instrumentPicks are the needles and cannulas that were meant, perhaps.
func instrumentPicks(ix *question.Index, p trade.Product, said question.SetupRead) (picks []Pick) {
	for _, in := range said.Instruments {
		picks = append(picks, Pick{ix.InstrumentName(in), Known{Product: &p, Instrument: &in}})
	}
	return picks[:min(len(picks), question.MaxChoices)]
}
