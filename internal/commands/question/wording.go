package question

import (
	"strings"
	"unicode/utf8"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// InstrumentName names an instrument as the trade does, "30G 13 mm needle". It has the wall class if that is not the
// usual one, or if the list has the size twice. The name reads as the same instrument.
func (ix *Index) InstrumentName(in trade.Instrument) string {
	kind := string(in.Kind)
	size := trade.Number(float64(in.Gauge)) + "G " + trade.Number(in.LengthMM) + " mm "
	twins, other := 0, false
	for _, have := range ix.instruments {
		if have.Kind == in.Kind && have.Gauge == in.Gauge && nominal(have.LengthMM) == nominal(in.LengthMM) {
			twins++
			other = other || have.Wall != in.Wall
		}
	}
	switch {
	case in.Wall != "" && (in.Wall != calc.AssumedWall || other):
		return size + wallText(in.Wall) + " " + kind
	case in.Wall == "" && twins > 1:
		return size + kind + ", " + wallText(unrecordedWall)
	}
	return size + kind
}

func wallText(wall calc.WallClass) string {
	if wall == unrecordedWall {
		return "wall not recorded"
	}
	return string(wall) + " wall"
}

// example is a question that can be read: about the first of the choices if there are any, else from the group's list.
func (s *scan) example(likely ...Choice) string {
	ix := s.ix
	gel, needle := "the name of the gel", "27G 13 mm needle"
	if len(ix.products) > 0 {
		gel = ix.products[0].Name
	}
	if len(ix.instruments) > 0 {
		needle = ix.InstrumentName(ix.instruments[0])
	}
	if len(likely) == 0 {
		return "For example: " + gel + ", " + needle + "."
	}
	if label := likely[0].Label; !strings.Contains(label, ", ") { // it names no needle
		return "For example: " + label + ", " + needle + "."
	}
	return "For example: " + likely[0].Label + "."
}

// unclear is the reading of a text that names nothing to choose from.
func (s *scan) unclear(problem, hint string) Reading {
	return Reading{Outcome: Unclear, Problem: problem, Hint: strings.TrimSpace(hint + " " + s.example())}
}

// tooLong is the reading of a text that is not read at all.
func (ix *Index) tooLong() Reading {
	s := scan{ix: ix}
	return s.unclear("That is too long to read as one question.", "One line is enough.")
}

// longestQuoted is how much of a text is quoted back, in bytes.
const longestQuoted = 40

// clip shortens what is quoted back.
func clip(text string) string {
	if len(text) <= longestQuoted {
		return text
	}
	end := longestQuoted
	for !utf8.RuneStart(text[end]) {
		end--
	}
	return text[:end] + "…"
}
