package question

import (
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/spelling"
)

// kindRead says which kinds of instrument the text names.
type kindRead struct {
	needle, cannula bool
	asked           bool // "or a cannula?": the other kind is asked about, not stated
	apart           bool // no kind word stands beside a gauge or a length
}

var (
	unsureKinds  = list("kind unsure") // a needle to some, a cannula to others
	needleWords  = list("needle words")
	cannulaWords = list("cannula words")
)

// readKinds finds the words needle and cannula. A blunt needle is a cannula.
func (s *scan) readKinds() {
	for i := range s.toks {
		w := s.word(i)
		if w == "" {
			continue
		}
		s.negated = s.negated || unsureKinds[w] && s.negatedAt(i)
		switch {
		case w == "blunt" || isCannula(w):
			s.kinds.cannula = true
			s.kinds.asked = s.kinds.asked || s.askedAbout(i)
			s.roles[i] = kinded
			s.takeBluntTail(i)
		case w == "sharp" && s.text(i+1) == "cannula", isEveryday(w) && !needleWords[w] && !s.isAgo(i):
		case isNeedle(w), s.isAgo(i):
			s.kinds.needle = true
			s.kinds.asked = s.kinds.asked || s.askedAbout(i)
			s.roles[i] = kinded
		}
	}
}

// isAgo reports whether the word at i is the Italian needle before a size: "ago 27G", and
// not "2 weeks ago".
func (s *scan) isAgo(i int) bool {
	if s.word(i) != "ago" {
		return false
	}
	before := quantity.UnitOf(s.text(i - 1))
	return before == quantity.MM || before == quantity.NoUnit && s.isNumber(i+1) && s.gaugeFollows(i+1)
}

// askFillers may stand between "or" and the kind that is asked about.
var askFillers = list("ask fillers")

// askedAbout reports whether the kind word at i is set against another: "or is
// a cannula better".
func (s *scan) askedAbout(i int) bool {
	j := i - 1
	for n := 0; n < 4 && askFillers[s.text(j)]; n++ {
		j--
	}
	w := s.text(j)
	return w == "or" || w == "vs" || w == "versus" || w == "than" || w == "instead"
}

// placeKinds notes whether any kind word stands beside a size, once the sizes
// are known.
func (s *scan) placeKinds() {
	s.kinds.apart = true
	for i, r := range s.roles {
		if r == kinded && (s.besideSize(i, -1) || s.besideSize(i, 1)) {
			s.kinds.apart = false
		}
	}
}

// besideSize reports whether the next token in the direction of step, wall and
// kind words and joints passed over, belongs to a gauge or a length.
func (s *scan) besideSize(i, step int) bool {
	for i += step; s.has(i) && (s.roles[i] == walled || s.roles[i] == kinded || s.isMark(i, `,-:("`) ||
		strongJoints[s.text(i)] || s.text(i) == "length" || s.text(i) == "size"); {
		i += step
	}
	return s.sizeAt(i)
}

// takeBluntTail passes over what follows "blunt": tip, ended, needle.
func (s *scan) takeBluntTail(i int) {
	if s.text(i) != "blunt" {
		return
	}
	for i++; s.has(i) && (s.isMark(i, "-") || bluntTails[s.text(i)]); i++ {
		s.roles[i] = kinded
	}
}

var bluntTails = list("blunt tails")

// isCannula reports whether w is the word cannula, slips included: no other
// word of the trade comes near it.
func isCannula(w string) bool {
	if cannulaWords[w] {
		return true
	}
	if len(w) < 5 || len(w) > 11 || isEveryday(w) || w[0] != 'c' && !strings.HasPrefix(w, "micro") {
		return false
	}
	w = strings.TrimPrefix(w, "micro")
	return spelling.Cost(w, "cannula") <= spelling.TwoSlips || spelling.Cost(w, "cannulas") <= spelling.SlipOnce
}

// isNeedle reports whether w is the word needle, slips included.
func isNeedle(w string) bool {
	if needleWords[w] {
		return true
	}
	return len(w) >= 5 && len(w) <= 8 && (spelling.Cost(w, "needle") <= spelling.SlipOnce ||
		spelling.Cost(w, "needles") <= spelling.SlipOnce)
}
