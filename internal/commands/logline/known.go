package logline

import (
	"strings"

	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// setupSaid reads what is left of the line as the combination. Words that the line
// and what is known elsewhere say differently are not bent into one.
func (r *reader) setupSaid() question.Reading {
	if r.of != nil {
		return r.setupChanged(*r.of)
	}
	plain := strings.Trim(string(r.plain), " ,?")
	read, k := r.ix.Read(strings.TrimRight(plain, " ,?.")), r.known
	if k == (question.Stated{}) {
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

// picksOf are the choices of a reading that settle something beside the words of the line.
func picksOf(ix *question.Index, read question.Reading) (picks []question.Choice) {
	for _, choice := range read.Choices {
		if whole := ix.ReadQuestion(choice.Along, choice.Stated); whole.Outcome == question.One {
			choice.Stated = question.StatedAs(whole.Combination())
		}
		if choice.Stated.Product != nil || choice.Stated.Instrument != nil {
			picks = append(picks, choice)
		}
	}
	return picks
}

// instrumentPicks are the needles and cannulas that were meant, perhaps.
func instrumentPicks(ix *question.Index, p trade.Product, said question.SetupRead) (picks []question.Choice) {
	for _, in := range said.Instruments {
		picks = append(picks, question.Choice{Label: ix.InstrumentName(in),
			Stated: question.Stated{Product: &p, Instrument: &in}})
	}
	return picks[:min(len(picks), question.MaxChoices)]
}
