package question

import (
	"slices"

	"holdbench/internal/quantity"
)

// afterPlace are the words after which "in" is no inch: "0.5 in each side".
var afterPlace = list("after place")

// longestInches is the largest number of inches that is read as a length. `10"`
// is no needle; it is ten seconds, written as watch makers do.
const longestInches = 3

// addUnit reads the unit after q's number.
func (s *scan) addUnit(q *amount, primes []bool) {
	i := q.num
	if (s.isMark(i, "-") || s.isMark(i, ".")) && s.glued(i) && s.glued(i+1) {
		if _, known := unitOf(s.word(i + 1)); known {
			i++
		}
	}
	switch {
	case s.isMark(i, `"`) && primes[i]:
		q.unit, q.to = quantity.Inch, i+1
		if q.value > longestInches {
			q.unit = quantity.Second
		}
	case s.isMark(i, "%'"):
		q.unit, q.to = quantity.Other, i+1
	case s.word(i) != "":
		s.addUnitWord(q, i)
	}
	if q.unit == quantity.Inch {
		if means, end, ok := s.phraseAt(amountTails, q.to); ok && means == "half" {
			q.value, q.fraction, q.to = q.value+0.5, true, end
		}
	}
}

// addUnitWord reads the word at i as q's unit.
func (s *scan) addUnitWord(q *amount, i int) {
	w := s.word(i)
	u, known := unitOf(w)
	switch {
	case w == "er" && s.glued(i): // "mit der 27er, 13er"
		if q.to = i + 1; plausibleGauge(q.value) {
			q.unit = quantity.Gauge
		}
	case !known:
		if s.glued(i) && !q.spelled && w != "x" && w != "by" && !s.ix.knowsWord(w) && !isEveryday(w) {
			q.unit = quantity.Other // 30h, 12abc: nobody knows what it counts
		}
	case w == "x": // "30 x 13"
	case len(w) == 1 && (u == quantity.Insulin || u == quantity.Other) && !s.glued(i): // "orrick 30 f…"
	case w == "in" && !s.isInch(*q, i), w == "point" && s.digitFollows(i), q.spelled && u == quantity.Other:
	case u == quantity.Mil:
		q.unit, q.to = milMeans(q.value), i+1
	default:
		q.unit, q.to = u, i+1
	}
}

// largestMil and smallestMil part the two meanings of "mil": up to 1.5 it is
// millilitres, from 4 on millimetres, between them neither can be told.
const (
	largestMil  = 1.5
	smallestMil = 4
)

func milMeans(v float64) quantity.Unit {
	switch {
	case v <= largestMil:
		return quantity.ML
	case v >= smallestMil:
		return quantity.MM
	}
	return quantity.Other
}

// isInch tells the inch from the preposition. A whole number of inches must be
// followed by the end of a phrase or the rest of the set-up ("2 in cannula"):
// "2 in stock" is no length.
func (s *scan) isInch(q amount, i int) bool {
	next := i + 1
	switch {
	case s.glued(i):
		return true
	case q.value > longestInches || q.spelled && !q.fraction:
		return false
	case !s.has(next) || s.toks[next].is == mark || s.roles[next] != free || s.gaugeFollows(next):
		return true
	case s.isNumber(next) || afterPlace[s.text(next)]:
		return false
	case q.fraction:
		return true
	}
	return q.value != float64(int(q.value)) && !isEveryday(s.text(next))
}

// gaugeFollows reports whether a gauge begins at token i: "27-gauge", "G27".
func (s *scan) gaugeFollows(i int) bool {
	if s.isNumber(i) {
		if s.isMark(i+1, "-") {
			i++
		}
		return quantity.UnitOf(s.text(i+1)) == quantity.Gauge
	}
	if _, _, end := s.spelledAt(i); end > i {
		return quantity.UnitOf(s.text(end)) == quantity.Gauge
	}
	return gaugeAhead[s.text(i)] && s.isNumber(i+1)
}

// primeMarks tells inch and second marks from quotation marks: a mark after a
// digit is a prime unless a quotation is open.
func (s *scan) primeMarks() []bool {
	primes := make([]bool, len(s.toks))
	open := false
	for i := range s.toks {
		switch {
		case !s.isMark(i, `"`):
		case open:
			open = false
		case i > 0 && s.toks[i-1].is == number:
			primes[i] = true
		default:
			open = slices.ContainsFunc(s.toks[i+1:], func(t token) bool { return t.text == `"` }) // it is closed
		}
	}
	return primes
}
