package question

import (
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// numberLeaders are words behind which a bare number is no part of a set-up: an age, a room, a time of day.
var numberLeaders = list("number leaders")

// markNoise sets aside dates, clock times and prices, and reads ratios, before anything reads them as measures.
func (s *scan) markNoise() {
	for i := range s.toks {
		if s.isMark(i, "#") && s.word(i+1) != "" && s.glued(i+1) {
			s.take(i, i+2, noise) // a topic tag
		}
		if !s.isNumber(i) {
			continue
		}
		switch {
		case s.isMark(i-1, "£#"):
			s.roles[i] = noise
		case s.isDate(i):
			s.take(i, i+5, noise)
		case s.isMark(i+1, ":") && s.isNumber(i+2):
			s.readColon(i)
		}
	}
}

// isDate reports whether a date of three numbers begins at i: 12/05/2026, 2026-05-05. A unit behind them makes them
// sizes.
func (s *scan) isDate(i int) bool {
	for _, sep := range []string{"/", "-"} {
		if s.isMark(i+1, sep) && s.isNumber(i+2) && s.isMark(i+3, sep) && s.isNumber(i+4) &&
			s.glued(i+1) && s.glued(i+2) && s.glued(i+3) && s.glued(i+4) {
			_, known := unitOf(s.word(i + 5))
			return !known && !s.isMark(i+5, `"`)
		}
	}
	return false
}

// readColon reads two numbers with a colon between them: a ratio (1:1, 50:50) or a time (14:15). Minutes have two
// digits, the parts of a dilution one; 1:10 is a dilution if the text speaks of diluting.
func (s *scan) readColon(i int) {
	a, b := s.toks[i], s.toks[i+2]
	_, measured := unitOf(s.word(i + 3))
	if (measured || strings.ContainsAny(b.text, ".,")) && !(s.glued(i+1) && s.glued(i+2)) {
		return // "27G 13: 5 s", "27/13: 8.1, 9.4": two measures
	}
	small := a.value <= 20 && b.value <= 20 || a.value == b.value
	clock := len(b.text) == 2 && b.value < 60 && a.value < 24
	if small && a.value > 0 && b.value > 0 && (!clock || s.speaksOfDiluting()) {
		s.dilution.addRatio(i, a.value, b.value)
		s.dilution.odd = s.dilution.odd || s.isMark(i+3, ":") // 1:1:1
		s.take(i, i+3, diluted)
		return
	}
	s.take(i, i+3, noise)
	if clock && s.clockOfHold(i) {
		seconds, _ := quantity.Seconds(a.text + ":" + b.text) // two numbers: cannot fail
		s.addSeconds(amount{from: i, to: i + 3}, seconds)
	}
}

// clockOfHold reports whether the minutes and seconds at i are a hold and no time of day: "is 1:30 enough", "hold
// 1:30".
func (s *scan) clockOfHold(i int) bool {
	leads := holdLeaders[s.text(i-1)] && s.text(i-1) != "for" && s.text(i-1) != "by"
	return s.toks[i].value*60 < trade.LongestWatchS && (leads || holdTails[s.text(i+3)])
}

// speaksOfDiluting reports whether any word of the text is about diluting.
func (s *scan) speaksOfDiluting() bool {
	for i := range s.toks {
		if means, _, ok := s.phraseAt(dilutionBook, i); ok && means != "neat" {
			return true
		}
	}
	return false
}
