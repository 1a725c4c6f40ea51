package question

import (
	"strings"

	"holdbench/internal/quantity"
)

// debrisAfter reports whether figures that measure nothing follow m, before the next word or stop. They may belong to
// the name ("Pellow Lips 2"), be a mistyped dilution ("1;1", "1k1", ":l"), or one that looks like a clock ("1:10").
func (s *scan) debrisAfter(m nameMatch) bool {
	for i := m.last() + 1; s.has(i); i++ {
		t := s.toks[i]
		switch {
		case s.roles[i] == diluted:
		case s.roles[i] == noise:
			return t.text == "1"
		case s.roles[i] != free && s.roles[i] != measured, t.is == mark && strings.Contains(",.?!\n/", t.text):
			return false
		case s.isMark(i, ":;") && s.glued(i+1) && !s.sizeAt(i+1):
			return true
		case t.is == word && len(t.text) > 2:
			return false
		case t.is == number:
			q, _ := s.quantityWith(i)
			if i == m.last()+1 && q.bare() && !q.fraction && q.value < 1 {
				return true // "Orrick Mid 0.5"
			}
			if s.isDebris(i) || isSize(q) {
				return !isSize(q)
			}
			i = max(i, q.to-1)
		}
	}
	return false
}

// isDebris reports whether the number at i is part of no amount that the trade knows. One that could be the gauge is
// not debris where no gauge is stated: it is asked about as that.
func (s *scan) isDebris(i int) bool {
	q, _ := s.quantityWith(i)
	if q.flaw {
		return true
	}
	if plausibleGauge(q.value) && !s.statesGauge() {
		return false
	}
	switch q.unit {
	case quantity.NoUnit:
		return q.value >= 1 && s.text(i-1) != "x" && !(s.text(q.to) == "x" && s.sizeAt(q.to+1))
	case quantity.Other, quantity.Metre, quantity.Insulin:
		return len(s.text(q.num)) == 1 && s.text(q.num) != "%"
	}
	return false
}

// quantityWith returns the amount that token i belongs to.
func (s *scan) quantityWith(i int) (amount, bool) {
	for _, q := range s.quantities {
		if q.from <= i && i < q.to {
			return q, true
		}
	}
	return amount{}, false
}

// isSize reports whether q is a gauge or a length.
func isSize(q amount) bool {
	return q.unit == quantity.Gauge || q.unit == quantity.MM || q.unit == quantity.CM || q.unit == quantity.Inch
}

// sizeAt reports whether a gauge or a length begins at token i: "2 x 27G".
func (s *scan) sizeAt(i int) bool { return s.has(i) && s.roles[i] == measured && s.isSize(i) }
