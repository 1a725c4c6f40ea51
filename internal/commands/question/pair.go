package question

import (
	"slices"

	"holdbench/internal/quantity"
)

// strongJoints between a gauge and a length tie them beyond doubt: 30x13.
var strongJoints = list("strong joints")

// readPairs reads gauges and lengths without a unit, but only side by side: "27G 13", "30x½", "27 13mm", "30 x 13". Any
// other number without a unit is not read, and what is missing is asked for.
func (s *scan) readPairs() {
	for i := range s.quantities {
		if i+1 >= len(s.quantities) {
			s.readGaugeBeforeKind(&s.quantities[i])
			s.readGaugeAlone(&s.quantities[i])
			return
		}
		a, b := &s.quantities[i], &s.quantities[i+1]
		joint, near := s.beside(*a, *b)
		if !near {
			s.readGaugeBeforeKind(a)
			s.readAcrossName(i)
			continue
		}
		switch {
		case s.readDiameter(a, b, joint):
		case a.unit == quantity.Gauge && b.unit == quantity.Metre && s.glued(b.to-1) &&
			s.ix.listsSize(int(a.value), b.value):
			b.unit = quantity.MM // "27G 13m": a letter short
		case (a.unit == quantity.Gauge || a.bare() && s.gaugeWordBefore(i)) && b.bare():
			s.readBareLength(*a, b, joint)
		case joint == "x" && b.unit == quantity.Gauge && s.leadsGauge(*a, *b):
			a.unit = quantity.MM
		case a.bare() && isLength(*b):
			s.readBareGauge(a, *b, joint)
		case isLength(*a) && b.bare():
			s.readGaugeAfter(*a, b)
		case a.bare() && b.bare():
			s.readBarePair(a, b, joint)
		}
	}
}

// readCorrectedLengths reads a number behind a correction as a length if the list has it with a gauge named before:
// after "27G 13, sorry, meant 19" either may be meant.
func (s *scan) readCorrectedLengths() {
	for i := range s.quantities {
		q := &s.quantities[i]
		before := s.text(q.from - 1)
		if q.bare() && q.whole() && corrections[before] && !negators[before] &&
			slices.ContainsFunc(s.quantities[:i], func(g amount) bool {
				return g.unit == quantity.Gauge && s.ix.listsSize(int(g.value), q.value)
			}) {
			q.unit = quantity.MM
		}
	}
}

// fewestMM is the smallest number before a gauge that is read as a length, mm. A smaller one may count needles: "4 x
// 30G".
const fewestMM = 13

// leadsGauge reports whether bare a is the length of gauge b: "38 x 27G cannula".
func (s *scan) leadsGauge(a, b amount) bool {
	return !slices.ContainsFunc(s.quantities, isLength) && a.bare() && a.whole() && a.value >= fewestMM &&
		s.ix.listsSize(int(b.value), a.value)
}

// isLength reports whether q has a unit of length.
func isLength(q amount) bool { return isSize(q) && q.unit != quantity.Gauge && !q.used }

// beside reports whether a and b have nothing between them but a joint, brackets, words for walls and the word
// needle, and which joint it is: "" for none.
func (s *scan) beside(a, b amount) (joint string, near bool) {
	if b.from-a.to > 5 {
		return "", false
	}
	for i := a.to; i < b.from; i++ {
		switch t := s.text(i); {
		case strongJoints[t] || t == "/" || t == "-":
			if joint != "" {
				return "", false
			}
			joint = t
		case s.isMark(i, ",("), s.roles[i] == walled, s.roles[i] == kinded && s.singular(i), t == "length":
		default:
			return "", false
		}
	}
	if strongJoints[joint] {
		joint = "x"
	}
	return joint, true
}

// singular reports whether token i names one needle. "2 needles" counts them.
func (s *scan) singular(i int) bool {
	t := s.text(i)
	return t[len(t)-1] != 's'
}

// sizeOf returns the length that bare q would be: mm for a whole number, inches for a fraction that the trade uses.
func sizeOf(q amount) (mm float64, u quantity.Unit, ok bool) {
	if q.whole() {
		return q.value, quantity.MM, true
	}
	for _, known := range inchLengths {
		if q.value == known.inches && len(known.mm) == 1 {
			return known.mm[0], quantity.Inch, true
		}
	}
	return 0, quantity.Inch, q.fraction && q.value == 3./16
}

// readBareLength reads b as the length behind gauge a. A whole number is one if an "x" ties it, if the list has such
// an instrument, or if it has that length and nothing of the gauge. A fraction is one. A decimal is one, in inches,
// only behind an "x" or before the word needle: elsewhere it is more likely a volume.
func (s *scan) readBareLength(a amount, b *amount, joint string) {
	gauge := int(a.value)
	mm, u, ok := sizeOf(*b)
	switch {
	case joint == "x" && b.whole() && b.value > shortestMM:
		b.unit = quantity.MM // of any size, so that an impossible one is said to be
	case !ok || s.asksIfEnough(*b) || s.unknown(b.to): // "13 sekuntteja"
	case b.fraction, b.whole() && (s.ix.listsSize(gauge, mm) || s.ix.listsLength(mm) && !s.ix.listsGauge(gauge)),
		!b.whole() && (joint == "x" || s.kindFollows(b.to)):
		b.unit = u
	}
}

// readBareGauge reads a as the gauge before length b.
func (s *scan) readBareGauge(a *amount, b amount, joint string) {
	if !plausibleGauge(a.value) || s.statesGauge() {
		return
	}
	if joint != "x" && (numberLeaders[s.text(a.from-1)] || !s.listsPair(*a, b)) {
		return
	}
	a.unit = quantity.Gauge
}

// readGaugeAfter reads b as the gauge after length a: "13 mm 27".
func (s *scan) readGaugeAfter(a amount, b *amount) {
	if plausibleGauge(b.value) && !s.statesGauge() && s.listsPair(*b, a) && !s.asksIfEnough(*b) {
		b.unit = quantity.Gauge
	}
}

// readBarePair reads two bare numbers as gauge and length: "30x13", "27 13". Without an "x" they have to be on the
// list and must not look like a day and a month.
func (s *scan) readBarePair(a, b *amount, joint string) {
	mm, u, ok := sizeOf(*b)
	if !ok || !plausibleGauge(a.value) || s.statesGauge() || s.asksIfEnough(*b) {
		return
	}
	listed := s.ix.listsSize(int(a.value), mm)
	dateLike := (joint == "/" || joint == "-") && mm <= 12
	if joint != "x" && (!listed || dateLike || numberLeaders[s.text(a.from-1)]) {
		return
	}
	a.unit, b.unit = quantity.Gauge, u
}

// readAcrossName reads a line that has the gel between the gauge and the length: "27 orrick firm 19".
func (s *scan) readAcrossName(i int) {
	a, b := &s.quantities[i], &s.quantities[i+1]
	said := a.unit == quantity.Gauge && b.bare()
	if a.from > 0 || !said && (!a.bare() || s.statesGauge()) || !plausibleGauge(a.value) || s.asksIfEnough(*b) {
		return
	}
	for j := a.to; j < b.from; j++ {
		if w := s.word(j); w == "" || isEveryday(w) && !s.ix.knowsWord(w) {
			return
		}
	}
	switch mm, u, ok := sizeOf(*b); {
	case isLength(*b) && s.listsPair(*a, *b):
		a.unit = quantity.Gauge
	case b.bare() && ok && s.ix.listsSize(int(a.value), mm):
		a.unit, b.unit = quantity.Gauge, u
	}
}

// sizeLeads stand before a needle that is named by its gauge alone: "on the 31", "with a 29".
var sizeLeads, articles = list("size leads"), list("articles")

// sizeOfs may stand between the word needle or cannula and its gauge: "cannula da 22".
var sizeOfs = list("size ofs")

// readGaugeAlone reads a listed gauge that ends a part of the text behind such words or behind a gel.
func (s *scan) readGaugeAlone(q *amount) {
	if !q.bare() || !plausibleGauge(q.value) || s.statesGauge() || !s.ix.listsGauge(int(q.value)) ||
		s.has(q.to) && s.toks[q.to].is != mark || s.isMark(q.to, ":-/") {
		return
	}
	before := q.from - 1
	if articles[s.text(before)] {
		before--
	}
	last := len(s.quantities) == 1 && s.ix.knowsWord(s.text(q.from-1)) // "hydra 32?"
	of := before
	if sizeOfs[s.text(of)] {
		of--
	}
	if sizeLeads[s.word(before)] || last || s.kindFollows(of) {
		q.unit = quantity.Gauge
	}
}

// readGaugeBeforeKind reads "a 27 needle".
func (s *scan) readGaugeBeforeKind(q *amount) {
	if q.bare() && plausibleGauge(q.value) && s.kindFollows(q.to) && !s.statesGauge() {
		q.unit = quantity.Gauge
	}
}

// kindFollows reports whether token i is the word needle or cannula, in the singular.
func (s *scan) kindFollows(i int) bool { return s.has(i) && s.roles[i] == kinded && s.singular(i) }

// asksIfEnough reports whether "enough" follows q: then it is a time.
func (s *scan) asksIfEnough(q amount) bool {
	return s.text(q.to) == "enough" || s.text(q.to) == "sufficient"
}

// listsPair reports whether the list has an instrument of gauge g and length q.
func (s *scan) listsPair(g, q amount) bool {
	return slices.ContainsFunc(inMM(q), func(mm float64) bool { return s.ix.listsSize(int(g.value), mm) })
}
