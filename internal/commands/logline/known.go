package logline

import (
	"strings"

	"holdbench/internal/commands/question"
)

// setupSaid reads the rest of the line as the combination. If the line contradicts a gel that is already known,
// neither is taken.
func (r *reader) setupSaid() question.Reading {
	if r.of != nil {
		return r.setupChanged(*r.of)
	}
	plain := strings.Trim(string(r.plain), " ,?")
	read, known := r.ix.ReadBeside(strings.TrimRight(plain, " ,?."), r.known), r.known.Product
	if named := r.ix.Read(plain).Product; known != nil && named.ID != 0 && named.ID != known.ID {
		return question.Reading{Outcome: question.Unclear, Problem: "Two gels are named: " + named.Name + " and " +
			known.Name + ".", Hint: "Name one."}
	}
	r.Picks = picksOf(r.ix, read)
	return read
}

// picksOf are the choices of a reading that settle its gel or its instrument.
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
