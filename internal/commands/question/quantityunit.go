package question

import (
	"slices"

	"holdbench/internal/quantity"
)

// afterPlace are the words before which "in" is no inch: "0.5 in each side".
var afterPlace = list("after place")

// longestInches is the longest length in inches. `10"` is no needle but ten seconds, as watchmakers write them.
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
		if means, end, _ := s.phraseAt(amountTails, q.to); means == "half" {
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
		if s.glued(i) && !s.ix.knowsWord(w) && !isEveryday(w) {
			q.unit = quantity.Other // 12abc: nobody knows what it counts
		}
	case w == "x": // "30 x 13"
	case len(w) == 1 && (u == quantity.Insulin || u == quantity.Other) && !s.glued(i): // "orrick 30 f…"
	case w == "in" && !s.isInch(*q, i), q.spelled && u == quantity.Other:
	case u == quantity.Mil:
		q.unit, q.to = milMeans(q.value), i+1
	default:
		q.unit, q.to = u, i+1
	}
}

// "Mil" is millilitres up to the one number and millimetres from the other on. Between them it could be either.
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

// isInch tells the inch from the preposition: "2 in stock" is no length. Behind a whole number of inches the phrase
// ends, or the set-up continues ("2 in cannula").
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
	return !q.whole()
}

// gaugeFollows reports whether a gauge begins at token i: "27-gauge", "G27".
func (s *scan) gaugeFollows(i int) bool {
	if s.isNumber(i) {
		if s.isMark(i+1, "-") {
			i++
		}
		return quantity.UnitOf(s.text(i+1)) == quantity.Gauge
	}
	_, _, end := s.spelledAt(i)
	return quantity.UnitOf(s.text(end)) == quantity.Gauge && end > i || gaugeAhead[s.text(i)] && s.isNumber(i+1)
}

// primeMarks tells the marks for inches and seconds from quotation marks: one behind a digit is such a mark unless it
// closes a quotation.
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
			open = slices.ContainsFunc(s.toks[i+1:], func(t token) bool { return t.text == `"` })
		}
	}
	return primes
}
