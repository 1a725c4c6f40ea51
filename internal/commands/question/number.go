package question

import "holdbench/internal/quantity"

// amount is a number with what follows it.
type amount struct {
	from, num, to int // tokens: number from … num-1, unit num … to-1
	value         float64
	fraction      bool // written as a fraction: ½, 1/2, "half"
	spelled       bool // written in words
	negative      bool
	flaw          bool
	unit          quantity.Unit
	used          bool // it has been read as something
}

// whole reports whether q is a plain whole number.
func (q amount) whole() bool {
	return !q.fraction && !q.negative && !q.flaw && q.value == float64(int(q.value))
}

// bare reports whether nothing says what q counts.
func (q amount) bare() bool { return q.unit == quantity.NoUnit && !q.used && !q.negative && !q.flaw }

// amountTails may stand between a number and its unit.
var amountTails = book("tail")

// readQuantities lists the numbers of the text with their units. A number in words counts only with a unit: "this
// one" is no amount.
func (s *scan) readQuantities() {
	primes := s.primeMarks()
	for i := 0; i < len(s.toks); {
		q, ok := s.amountAt(i)
		if !ok {
			q, ok = s.loneInchAt(i)
		}
		if !ok {
			i++
			continue
		}
		s.addUnit(&q, primes)
		s.quantities = append(s.quantities, q)
		if q.unit != quantity.NoUnit || !q.spelled {
			s.take(q.from, q.to, measured)
		}
		i = q.to
	}
}

// amountAt reads the number that starts at i, without its unit.
func (s *scan) amountAt(i int) (amount, bool) {
	q := amount{from: i, num: i}
	switch {
	case s.isNumber(i):
		q.flaw = s.toks[i].flaw
		q.value, q.fraction, q.num = s.digitsAt(i)
	case s.word(i) == "point" && s.digitFollows(i):
		q.spelled = true
	default:
		q.value, q.fraction, q.num = s.spelledAt(i)
		q.spelled = q.num > i
	}
	if digit, ok := s.digitAt(q.num + 1); ok && s.word(q.num) == "point" {
		q.value += digit / 10
		q.num += 2
	}
	if q.num == i {
		return q, false
	}
	if means, end, _ := s.phraseAt(amountTails, q.num); means == "half" {
		q.value, q.fraction, q.num = q.value+0.5, true, end
	}
	q.to = q.num
	q.negative = s.minusBefore(i)
	return q, true
}

// loneInchAt reads an inch without a number: "an inch", "inch and a half".
func (s *scan) loneInchAt(i int) (amount, bool) {
	if s.word(i) != "inch" {
		return amount{}, false
	}
	tail, _, _ := s.phraseAt(amountTails, i+1)
	return amount{from: i, num: i, to: i, value: 1, spelled: true}, tail == "half" || s.text(i-1) == "an"
}

// digitsAt reads a number in digits: 13, 1/2, 1 1/2, 1-1/2.
func (s *scan) digitsAt(i int) (value float64, fraction bool, end int) {
	if v, end, ok := s.fractionAt(i); ok {
		return v, true, s.overArticle(end)
	}
	value = s.toks[i].value
	next := i + 1
	if s.isMark(next, "-") && s.glued(next) {
		next++
	}
	if value == float64(int(value)) && value >= 1 && value <= 3 {
		if v, end, ok := s.fractionAt(next); ok && v < 1 {
			return value + v, true, end
		}
	}
	return value, false, i + 1
}

// fractionAt reads a fraction in lowest terms with a lower number that rulers have: "30G 4/8" is two lengths, not
// half an inch. Before a unit that never has fractions ("4/8 mm", "27/30g") the stroke means "or".
func (s *scan) fractionAt(i int) (value float64, end int, ok bool) {
	if !s.isNumber(i) || !s.isMark(i+1, "/") || !s.isNumber(i+2) || !s.glued(i+1) || !s.glued(i+2) {
		return 0, i, false
	}
	above, below := s.toks[i].value, s.toks[i+2].value
	switch below {
	case 2, 4, 8, 10, 16, 32:
	default:
		return 0, i, false
	}
	if above != float64(int(above)) || below != 10 && int(above)%2 == 0 {
		return 0, i, false
	}
	switch u, _ := unitOf(s.word(i + 3)); u {
	case quantity.NoUnit, quantity.Inch, quantity.ML, quantity.Mil, quantity.Other:
	default:
		return 0, i, false
	}
	return above / below, i + 3, true
}

// spelledAt reads a number in words: "thirty", "twenty-seven", "half an", "three quarters of an", "five sixteenths".
func (s *scan) spelledAt(i int) (value float64, fraction bool, end int) {
	w := s.word(i)
	if part, ok := quantity.Part(w); ok {
		return part, true, s.overArticle(i + 1)
	}
	next := i + 1
	if s.isMark(next, "-") {
		next++
	}
	v, words := quantity.Dictated(w, s.word(next))
	switch words {
	case 0:
		return 0, false, i
	case 1:
		end = i + 1
	default:
		end = next + 1
	}
	if ones, is := quantity.Dictated(s.word(end)); is > 0 && words == 1 && v >= 1 && v < 10 && ones < 10 &&
		s.countsSize(10*v+ones, end+1) {
		return 10*v + ones, false, end + 1 // "three zero gauge"
	}
	if part, ok := quantity.Part(s.word(end)); ok {
		return v * part, true, s.overArticle(end + 1)
	}
	return v, false, end
}

// countsSize reports whether v with the unit at i is a gauge or a listed length in mm.
func (s *scan) countsSize(v float64, i int) bool {
	u, _ := unitOf(s.word(i))
	return u == quantity.Gauge && plausibleGauge(v) || u == quantity.MM && s.ix.listsLength(v)
}

// overArticle returns the token behind "a", "an" or "of an" at i if it is a unit, else i.
func (s *scan) overArticle(i int) int {
	if means, end, _ := s.phraseAt(amountTails, i); means == "article" {
		if _, known := unitOf(s.word(end)); known {
			return end
		}
	}
	return i
}

// digitAt is the digit at token i, in figures or in words, as it follows "point".
func (s *scan) digitAt(i int) (v float64, ok bool) {
	v, ok = s.part(i)
	return v, ok && v < 10 && v == float64(int(v))
}

// digitFollows reports whether a digit stands behind the word "point" at i.
func (s *scan) digitFollows(i int) bool {
	_, ok := s.digitAt(i + 1)
	return ok
}

// part is the number at token i, in figures or in one word.
func (s *scan) part(i int) (v float64, ok bool) {
	if s.isNumber(i) {
		return s.toks[i].value, true
	}
	v, n := quantity.Dictated(s.word(i))
	return v, n > 0
}

// minusBefore reports whether the number at i is negative: "minus 13", or a hyphen right before it and nothing right
// before that. At the start of a text the hyphen is a bullet.
func (s *scan) minusBefore(i int) bool {
	if s.word(i-1) == "minus" || s.word(i-1) == "negative" {
		return true
	}
	return s.isMark(i-1, "-") && s.glued(i) && !s.glued(i-1) && s.has(i-2)
}
