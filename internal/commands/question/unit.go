package question

import (
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/spelling"
)

// slippedUnits are the long words for units. A number stands before them, so a slip in one is safe to read.
var slippedUnits = []string{"gauge", "millimetre", "millimeter", "centimetre", "seconds", "second", "inches",
	"millilitre", "milliliter"}

// unitOf returns the unit a word names.
func unitOf(w string) (quantity.Unit, bool) {
	if u := quantity.UnitOf(w); u != quantity.NoUnit {
		return u, true
	}
	if len(w) < 5 || isEveryday(w) {
		return quantity.NoUnit, false
	}
	for _, full := range slippedUnits {
		if spelling.Cost(w, full) <= spelling.Odd {
			return quantity.UnitOf(full), true
		}
	}
	return quantity.NoUnit, false
}

// gaugeAhead are the words that may stand before the number of a gauge.
var gaugeAhead = list("gauge ahead")

// splitGlued splits the letters right behind a number into the unit and the rest: 30gx13, 13mmneedle, 30gorrick.
func (ix *Index) splitGlued(toks []token) []token {
	out := make([]token, 0, len(toks)+4)
	for i, t := range toks {
		if i > 0 && t.is == word && t.glued && toks[i-1].is == number {
			if cut := ix.unitPrefix(t.text); cut > 0 {
				head := t
				head.text, head.raw = t.text[:cut], t.raw[:cut]
				out = append(out, head)
				t.text, t.raw = t.text[cut:], t.raw[cut:]
			}
		}
		out = append(out, t)
	}
	return out
}

// unitPrefix returns the length of the unit that some letters begin with, 0 if they are a unit or the rest is no
// known word.
func (ix *Index) unitPrefix(text string) int {
	if quantity.UnitOf(text) != quantity.NoUnit {
		return 0
	}
	for _, u := range []string{"gauge", "ga", "g", "mm", "cm", "ml", "cc", "inch", "in", "seconds", "secs",
		"sec", "s"} {
		rest, ok := strings.CutPrefix(text, u)
		if !ok {
			continue
		}
		_, wall := wallBook.whole(rest)
		if wall || rest == "x" || rest == "by" || len(rest) >= 3 && (isEveryday(rest) || ix.knowsWord(rest)) {
			return len(u)
		}
	}
	return 0
}
