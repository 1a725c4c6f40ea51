package question

import (
	"strings"
	"unicode/utf8"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// InstrumentName names an instrument as the trade does, "30G 13 mm needle",
// with the wall class where it is not the usual thin one, or where the list has
// the same size twice. Read again, the name gives the same instrument.
func (ix *Index) InstrumentName(in trade.Instrument) string {
	kind := string(in.Kind)
	size := short(float64(in.Gauge)) + "G " + short(in.LengthMM) + " mm "
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

// wallText says a wall class.
func wallText(wall calc.WallClass) string {
	if wall == unrecordedWall {
		return "wall not recorded"
	}
	return string(wall) + " wall"
}

// example is a question that can be read: about what was asked where that is known so far,
// else from the group's own list.
func (s *scan) example(likely ...Choice) string {
	ix := s.ix
	gel, needle := "the name of the gel", "27G 13 mm needle"
	if len(ix.products) > 0 {
		gel = ix.products[0].Name
	}
	if len(ix.instruments) > 0 {
		needle = ix.InstrumentName(ix.instruments[0])
	}
	if len(likely) > 0 {
		gel = likely[0].Label
		if strings.Contains(gel, ", ") { // it names the needle, too
			return "For example: " + gel + "."
		}
	}
	return "For example: " + gel + ", " + needle + "."
}

// unclear is the reading of a text that leaves nothing to choose from.
func (s *scan) unclear(problem, hint string) Reading {
	if hint == "" {
		hint = s.example()
	} else {
		hint += " " + s.example()
	}
	return Reading{Outcome: Unclear, Problem: problem, Hint: hint}
}

// tooLong is the reading of a text that is not read at all.
func (ix *Index) tooLong() Reading {
	s := scan{ix: ix}
	return s.unclear("That is too long to read as one question.", "One line is enough.")
}

// longestQuoted bounds what is quoted back of a text, in bytes.
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
