package question

import (
	"fmt"

	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// These words make a number without a unit a hold: "hold 15", "for 10", "is 10 enough".
var (
	holdLeaders = list("hold leaders")
	holdTails   = list("hold tails")
	countWords  = list("count words")
)

// elsewhen are the words behind a time that is no hold: "30 s video".
var elsewhen = list("elsewhen")

// minuteLeaders and minuteTails make minutes a hold; elsewhere they are the diary's.
var (
	minuteLeaders = list("minute leaders")
	minuteTails   = list("minute tails")
)

// readSeconds collects the holds that the text names.
func (s *scan) readSeconds() {
	for i := range s.quantities {
		q := &s.quantities[i]
		switch {
		case q.used:
		case q.unit == quantity.Second && s.endsRange(i):
			q.used = true
		case q.unit == quantity.Second:
			q.used = true
			if !elsewhen[s.text(q.to)] && !s.ranOut(*q) {
				s.addSeconds(*q, q.value)
			}
		case q.unit == quantity.Minute:
			q.used = true
			if s.minutesOfHold(*q) {
				s.addSeconds(*q, q.value*60)
			}
		case q.bare() && !q.fraction && !q.spelled && q.value >= 1 && q.value <= 120 && s.soundsLikeHold(*q):
			q.used = true
			s.addSeconds(*q, q.value)
		}
	}
}

// ranOut reports whether q is needles that somebody ran out of: "out of 29s".
func (s *scan) ranOut(q amount) bool {
	before := s.text(q.from - 1)
	return plausibleGauge(q.value) && s.text(q.num) == "s" && s.glued(q.num) &&
		(before == "of" && s.text(q.from-2) == "out" || before == "no" || before == "more")
}

// endsRange reports whether amount i is the upper end of a range of holds: "5-10 s". The lower end answers for it:
// what shows by then shows by the upper end too.
func (s *scan) endsRange(i int) bool {
	if i == 0 || s.quantities[i].flaw || s.quantities[i].negative || s.quantities[i].value > trade.LongestWatchS {
		return false
	}
	low, high := s.quantities[i-1], s.quantities[i]
	joint := s.joint(low, high)
	between := joint == "and" && s.text(low.from-1) == "between"
	return low.unit == quantity.Second && low.value < high.value && (joint == "-" || joint == "to" || between)
}

// minutesOfHold reports whether minutes are a hold's, not the diary's: beside a word for holding, or asked at the end.
func (s *scan) minutesOfHold(q amount) bool {
	before, after := s.text(q.from-1), s.text(q.to)
	half := q.fraction && q.spelled // "half a minute on Orrick Mid"
	asked := half || minuteLeaders[before] || minuteTails[after] || s.isMark(q.to, "?")
	return asked && !elsewhen[after] && before != "in"
}

// soundsLikeHold reports whether the words beside bare q make it a hold.
func (s *scan) soundsLikeHold(q amount) bool {
	before := s.text(q.from - 1)
	if before == "about" || before == "only" || before == "just" {
		before = s.text(q.from - 2)
	}
	if before == "to" && countWords[s.text(q.from-2)] {
		before = s.text(q.from - 2)
	}
	followed := s.has(q.to) && s.toks[q.to].is == word && !isEveryday(s.text(q.to))
	return (holdLeaders[before] || countWords[before]) && !followed || holdTails[s.text(q.to)]
}

func (s *scan) addSeconds(q amount, v float64) {
	if q.negative || q.flaw || !(v > 0) || v > trade.LongestWatchS {
		s.bad = fmt.Sprintf("%s is no hold that can be looked up: up to %s s.", s.typed(q), trade.Number(trade.LongestWatchS))
		return
	}
	s.seconds = addOnce(s.seconds, v)
}
