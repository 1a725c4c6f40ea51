package question

import "holdbench/internal/quantity"

// alternatives are the words between two values of one kind: "27 or 30G".
var alternatives = list("alternatives")

// spreadUnits gives a bare number the unit of the number that it is set against: "27 or 30G" is two gauges, "10-15 s"
// two holds. Otherwise the number with the unit would be answered as if the other were not there.
func (s *scan) spreadUnits() {
	for i := len(s.quantities) - 2; i >= 0; i-- {
		q, next := &s.quantities[i], s.quantities[i+1]
		if q.unit == quantity.NoUnit && !q.flaw && s.leads(*q, next) {
			q.unit = next.unit
		}
	}
	for i := 1; i < len(s.quantities); i++ {
		prev, q := s.quantities[i-1], &s.quantities[i]
		if q.unit == quantity.NoUnit && !q.flaw && s.trails(prev, *q) {
			q.unit = prev.unit
		}
	}
}

// joint returns the one token between two neighbouring amounts, without an article behind it; "" for more.
func (s *scan) joint(a, b amount) string {
	if s.overArticles(a.to+1, 1) != b.from {
		return ""
	}
	return s.text(a.to)
}

// leads reports whether bare q shares the unit of the amount after it.
func (s *scan) leads(q, next amount) bool {
	if !spreads(next.unit) {
		return false
	}
	switch joint := s.joint(q, next); {
	case alternatives[joint]:
		return true
	case joint == "/" || joint == "-" || joint == "and":
		if next.unit == quantity.Second {
			return true
		}
		if next.unit == quantity.Gauge {
			return plausibleGauge(q.value)
		}
		return !plausibleGauge(q.value) || s.statesGauge()
	}
	return false
}

// trails reports whether bare q shares the unit of the amount before it.
func (s *scan) trails(prev, q amount) bool {
	if !spreads(prev.unit) {
		return false
	}
	switch joint := s.joint(prev, q); {
	case alternatives[joint] && joint != "to":
		return true
	case joint == "/":
		return prev.unit != quantity.Gauge || plausibleGauge(q.value) && !s.ix.listsSize(int(prev.value), q.value)
	}
	return false
}

// spreads reports whether u is a unit that two values can share.
func spreads(u quantity.Unit) bool {
	return u == quantity.Gauge || u == quantity.MM || u == quantity.Inch || u == quantity.Second || u == quantity.CM
}

// statesGauge reports whether any number of the text has a gauge unit.
func (s *scan) statesGauge() bool {
	for i, q := range s.quantities {
		if q.unit == quantity.Gauge || s.gaugeWordBefore(i) {
			return true
		}
	}
	return false
}
