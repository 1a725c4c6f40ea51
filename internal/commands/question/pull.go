package question

import (
	"fmt"

	"holdbench/internal/trade"
)

// pullWords stand before a pull, pullTails behind one. Drawing gel up, or into something, is no pull.
var (
	pullWords   = list("pull words")
	pullTails   = list("pull tails")
	pullNouns   = list("pull nouns")
	drawWords   = list("draw words")
	pullFillers = list("pull fillers")
)

// readPulls finds how far the plunger is drawn: "pulling 0.2 ml", "pull 0.2", "0.1 mL pullback", "aspirate 10 units"
// on an insulin syringe. A volume set against a pull is one too: "pull 0.1 or 0.2 ml".
func (s *scan) readPulls() {
	pulls := make([]bool, len(s.quantities))
	for i, q := range s.quantities {
		_, hasUnit := volumeML(q)
		pulls[i] = (hasUnit || looksLikePull(q)) && s.pulled(q, hasUnit)
	}
	for i := 1; i < len(pulls); i++ {
		joint := s.joint(s.quantities[i-1], s.quantities[i])
		set := alternatives[joint] || joint == "-" || joint == "/" || joint == "and"
		if set && (pulls[i-1] || pulls[i]) && isVolume(s.quantities[i-1]) && isVolume(s.quantities[i]) {
			pulls[i-1], pulls[i] = true, true
		}
	}
	for i, is := range pulls {
		if is {
			s.addPull(&s.quantities[i])
		}
	}
}

// looksLikePull reports whether bare q could be a pull in mL: "pull 0.2".
func looksLikePull(q amount) bool {
	return q.bare() && !q.spelled && q.value > 0 && q.value < 2 && (q.fraction || q.value != 1)
}

// largestBarePull is the number below which "@0.2" is a pull in mL: nobody holds for so short a time (practice).
const largestBarePull = 0.5

// isVolume reports whether q is a volume, or a bare number that could be one.
func isVolume(q amount) bool {
	_, ok := volumeML(q)
	return ok || looksLikePull(q)
}

func (s *scan) addPull(q *amount) {
	ml, ok := volumeML(*q)
	if !ok {
		ml = q.value
	}
	q.used = true
	if q.negative || q.flaw || !(ml >= trade.SmallestPullML && ml <= trade.LargestPullML) {
		s.bad = fmt.Sprintf("%s is no pull that can be looked up: %s to %s mL.", s.typed(*q),
			trade.Number(trade.SmallestPullML), trade.Number(trade.LargestPullML))
		return
	}
	s.pulls = addOnce(s.pulls, ml)
}

// volumeML returns q in millilitres if it has a unit of volume.
func volumeML(q amount) (ml float64, ok bool) { return q.unit.InML(q.value) }

// pulled reports whether the words around q make it a pull.
func (s *scan) pulled(q amount, hasUnit bool) bool {
	i := q.from - 1
	for n := 0; n < 4 && (pullFillers[s.text(i)] && !pullWords[s.text(i)] || s.isMark(i, ":=-(")); n++ {
		i--
	}
	if pullWords[s.text(i)] {
		next := s.text(q.to)
		return next != "up" && next != "into" && !(drawWords[s.text(i)] && (next == "of" || next == "from"))
	}
	next := q.to
	for n := 0; n < 2 && (s.text(next) == "on" || s.text(next) == "the"); n++ {
		next++
	}
	if !hasUnit && s.isMark(q.from-1, "@") && q.value < largestBarePull {
		return true
	}
	if !hasUnit {
		return pullNouns[s.text(next)] && q.value != float64(int(q.value))
	}
	if s.text(next) == "of" || s.isMark(next, "-") {
		next++
	}
	return pullTails[s.text(next)]
}
