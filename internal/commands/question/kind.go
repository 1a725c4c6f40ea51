package question

import (
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/spelling"
)

// kindRead says which kinds of instrument the text names.
type kindRead struct {
	needle, cannula bool
	asked           bool // the other kind is asked about: "or a cannula?"
	apart           bool // no word for a kind stands beside a gauge or a length
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
		case isEveryday(w) && !needleWords[w] && !s.isAgo(i):
		case isNeedle(w), s.isAgo(i):
			s.kinds.needle = true
			s.kinds.asked = s.kinds.asked || s.askedAbout(i)
			s.roles[i] = kinded
		}
	}
}

// isAgo reports whether the word at i is the Italian needle, "ago 27G" or "13 mm ago", and not that of "2 weeks ago".
func (s *scan) isAgo(i int) bool {
	if s.word(i) != "ago" {
		return false
	}
	before := quantity.UnitOf(s.text(i - 1))
	return before == quantity.MM || before == quantity.NoUnit && s.gaugeFollows(i+1)
}

// askFillers may stand between "or" and the kind that is asked about.
var askFillers = list("ask fillers")

// askedAbout reports whether the text sets the kind at i against another: "or is a cannula better".
func (s *scan) askedAbout(i int) bool {
	j := i - 1
	for askFillers[s.text(j)] {
		j--
	}
	w := s.text(j)
	return w == "or" || w == "vs" || w == "versus" || w == "than" || w == "instead"
}

// placeKinds notes whether a word for a kind stands beside a size.
func (s *scan) placeKinds() {
	s.kinds.apart = true
	for i, r := range s.roles {
		if r == kinded && (s.besideSize(i, -1) || s.besideSize(i, 1)) {
			s.kinds.apart = false
		}
	}
}

// besideSize reports whether the next token in the direction of step belongs to a gauge or a length, after words for
// walls and kinds, and joints.
func (s *scan) besideSize(i, step int) bool {
	for i += step; s.has(i) && (s.roles[i] == walled || s.roles[i] == kinded || s.isMark(i, `,-:("`) ||
		s.text(i) == "size"); {
		i += step
	}
	return s.sizeAt(i)
}

// takeBluntTail takes what follows "blunt" at i as part of it: tip, ended, needle.
func (s *scan) takeBluntTail(i int) {
	if s.text(i) != "blunt" {
		return
	}
	for i++; s.isMark(i, "-") || bluntTails[s.text(i)]; i++ {
		s.roles[i] = kinded
	}
}

var bluntTails = list("blunt tails")

// isCannula reports whether w is the word cannula, with or without slips: no other word of the trade is near it.
func isCannula(w string) bool {
	if cannulaWords[w] {
		return true
	}
	w = strings.TrimPrefix(w, "micro")
	if len(w) < 5 || isEveryday(w) || w[0] != 'c' {
		return false
	}
	return spelling.Cost(w, "cannula") <= spelling.TwoSlips
}

// isNeedle reports whether w is the word needle, with or without a slip.
func isNeedle(w string) bool {
	return needleWords[w] || len(w) >= 5 && spelling.Cost(w, "needle") <= spelling.SlipOnce
}
