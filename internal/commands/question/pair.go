package question

import (
	"slices"

	"holdbench/internal/quantity"
)

// strongJoints tie a gauge to the length after it beyond doubt: 30x13.
var strongJoints = set("x by por per mal fois")

// readPairs reads gauges and lengths that carry no unit of their own, but only
// where they stand side by side: "27G 13", "30x½", "27 13mm", "30 x 13".
// Anything else without a unit stays unread, and what is missing is asked for.
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
		case a.bare() && joint == "x" && b.unit == quantity.MM && a.value < 1:
			a.used = true // an outer diameter that is in no standard
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

// readLengthsMeant reads a number behind a word that takes back as a length, where the list has it for a gauge that was
// said: after "27G 13, sorry, meant 19" either may be meant.
func (s *scan) readLengthsMeant() {
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

// fewestMM is the shortest length that is read before a gauge, mm: a smaller number
// there may count needles, "4 x 30G".
const fewestMM = 13

// leadsGauge reports whether bare a is the length of gauge b: "38 x 27G cannula".
func (s *scan) leadsGauge(a, b amount) bool {
	for _, q := range s.quantities {
		if isLength(q) {
			return false
		}
	}
	return a.bare() && a.whole() && a.value >= fewestMM && s.ix.listsSize(int(b.value), a.value)
}

// isLength reports whether q has a unit of length.
func isLength(q amount) bool {
	return isSize(q) && q.unit != quantity.Gauge && !q.used
}

// beside reports whether only joints, brackets, wall words or the word needle
// stand between a and b, and which joint it is ("" for none or a comma).
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
		case s.isMark(i, ",("), s.roles[i] == walled, s.roles[i] == kinded && s.singular(i),
			t == "length", t == "long":
		default:
			return "", false
		}
	}
	if strongJoints[joint] {
		joint = "x"
	}
	return joint, true
}

// singular reports whether token i names one needle: "2 needles" counts.
func (s *scan) singular(i int) bool {
	t := s.text(i)
	return t[len(t)-1] != 's'
}

// sizeOf returns the length in mm that bare q would be: millimetres if whole,
// inches if one of the fractions of the trade.
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

// readBareLength reads b as the length after gauge a. A whole number counts if
// the list has such an instrument, or that length and nothing of the gauge, or an "x" ties it; a fraction counts; a
// decimal counts as inches only after an "x" or before the word needle, since
// elsewhere it is rather a volume.
func (s *scan) readBareLength(a amount, b *amount, joint string) {
	mm, u, ok := sizeOf(*b)
	if joint == "x" && b.whole() && b.value > 2 {
		b.unit = quantity.MM // whatever the size: an impossible one must be complained of
		return
	}
	switch {
	case !ok || s.asksIfEnough(*b) || s.unknown(b.to):
	case b.whole() && (s.ix.listsSize(int(a.value), mm) || s.ix.listsLength(mm) && !s.ix.listsGauge(int(a.value))), b.fraction:
		b.unit = u
	case !b.whole() && (joint == "x" || s.kindFollows(b.to)):
		b.unit = u
	}
}

// readBareGauge reads a as the gauge before length b.
func (s *scan) readBareGauge(a *amount, b amount, joint string) {
	if !plausibleGauge(a.value) || a.fraction || s.statesGauge() {
		return
	}
	if joint != "x" && (numberLeaders[s.text(a.from-1)] || !s.listsPair(*a, b)) {
		return
	}
	a.unit = quantity.Gauge
}

// readGaugeAfter reads b as the gauge after length a: "13 mm 27".
func (s *scan) readGaugeAfter(a amount, b *amount) {
	if plausibleGauge(b.value) && !b.fraction && !s.statesGauge() && s.listsPair(*b, a) && !s.asksIfEnough(*b) {
		b.unit = quantity.Gauge
	}
}

// readBarePair reads two bare numbers as gauge and length: "30x13", "27 13".
// Without an "x" the pair must be on the list, and must not look like a clock
// time or a day of a month.
func (s *scan) readBarePair(a, b *amount, joint string) {
	mm, u, ok := sizeOf(*b)
	if !ok || a.fraction || !plausibleGauge(a.value) || s.statesGauge() || s.asksIfEnough(*b) {
		return
	}
	listed := s.ix.listsSize(int(a.value), mm)
	dateLike := (joint == "/" || joint == "-") && mm <= 12
	if joint != "x" && (!listed || dateLike || numberLeaders[s.text(a.from-1)]) {
		return
	}
	a.unit, b.unit = quantity.Gauge, u
}

// readAcrossName reads a line that opens with the gauge and has the gel before the length:
// "27 orrick firm 19", "27G orrick firm 19".
func (s *scan) readAcrossName(i int) {
	a, b := &s.quantities[i], &s.quantities[i+1]
	said := a.unit == quantity.Gauge && b.bare()
	if a.from > 0 || !said && (!a.bare() || s.statesGauge()) || a.fraction || !plausibleGauge(a.value) ||
		s.asksIfEnough(*b) {
		return
	}
	named := 0
	for j := a.to; j < b.from; j++ {
		if s.word(j) == "" || isEveryday(s.word(j)) && !s.ix.knowsWord(s.word(j)) {
			return
		}
		if s.ix.knowsWord(s.word(j)) {
			named++
		}
	}
	switch mm, u, ok := sizeOf(*b); {
	case named == 0:
	case isLength(*b) && s.listsPair(*a, *b):
		a.unit = quantity.Gauge
	case b.bare() && ok && s.ix.listsSize(int(a.value), mm):
		a.unit, b.unit = quantity.Gauge, u
	}
}

// sizeLeads lead to a needle that is named by its gauge alone: "on the 31", "with a 29".
var sizeLeads, articles = list("size leads"), list("articles")

// sizeOfs may stand between the word needle or cannula and its gauge: "cannula da 22".
var sizeOfs = list("size ofs")

// readGaugeAlone reads a number that ends a part of the text behind such words, or behind a
// gel, as a gauge, where the list has it.
func (s *scan) readGaugeAlone(q *amount) {
	if !q.bare() || q.fraction || !plausibleGauge(q.value) || s.statesGauge() || !s.ix.listsGauge(int(q.value)) ||
		s.has(q.to) && s.toks[q.to].is != mark || s.isMark(q.to, ":-/") {
		return
	}
	before := q.from - 1
	if articles[s.text(before)] {
		before--
	}
	last := len(s.quantities) == 1 && s.ix.knowsWord(s.text(q.from-1)) && !s.isMark(q.to, ",;") // "hydra 32?"
	of := before
	if sizeOfs[s.text(of)] {
		of--
	}
	if s.has(before) && sizeLeads[s.text(before)] && s.roles[before] == free || last || s.kindFollows(of) {
		q.unit = quantity.Gauge
	}
}

// readGaugeBeforeKind reads "a 27 needle".
func (s *scan) readGaugeBeforeKind(q *amount) {
	if q.bare() && plausibleGauge(q.value) && !q.fraction && s.kindFollows(q.to) &&
		!numberLeaders[s.text(q.from-1)] && !s.statesGauge() {
		q.unit = quantity.Gauge
	}
}

// kindFollows reports whether the word needle or cannula, in the singular,
// stands at i.
func (s *scan) kindFollows(i int) bool {
	return s.has(i) && s.roles[i] == kinded && s.singular(i)
}

// asksIfEnough reports whether q is followed by "enough": then it is a time.
func (s *scan) asksIfEnough(q amount) bool {
	t := s.text(q.to)
	return t == "enough" || t == "sufficient"
}

// listsPair reports whether the list has an instrument of gauge g and length q.
func (s *scan) listsPair(g, q amount) bool {
	return slices.ContainsFunc(inMM(q), func(mm float64) bool { return s.ix.listsSize(int(g.value), mm) })
}
