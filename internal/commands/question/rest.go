package question

import (
	"slices"

	"holdbench/internal/quantity"
)

// passed are words that say nothing about what is asked or logged.
var passed = list("passed")

// rest is what was not understood of the text, as typed and in order: words with a meaning, and every number.
func (s *scan) rest() (left []string) {
	for i := 0; i < len(s.toks); i++ {
		q, ok := s.quantityWith(i)
		switch {
		case ok && !s.volumeUnread(q) && (q.used || isSize(q)):
			i = max(i, q.to-1)
		case ok && q.unit == quantity.NoUnit && q.spelled:
		case ok:
			left = append(left, s.typed(q))
			i = max(i, q.to-1)
		case s.toks[i].is == number && s.roles[i] != named && s.roles[i] != diluted && s.roles[i] != syringed:
			left = append(left, s.toks[i].raw)
		case s.word(i) != "" && !passed[s.word(i)] && !s.nameWord(i):
			left = append(left, s.toks[i].raw)
		}
	}
	return left
}

// nameWord reports whether token i may be a word of a name.
func (s *scan) nameWord(i int) bool { return len(s.ix.options(s.text(i))) > 0 }

// ofAmount are words behind a volume that make it an amount of gel.
var ofAmount = list("of amount")

// volumeUnread reports whether q is a volume that is neither the pull, nor the fixed-needle syringe's, nor plainly an
// amount of gel: "0.1 mL of".
func (s *scan) volumeUnread(q amount) bool {
	ml, is := volumeML(q)
	return is && !ofAmount[s.text(q.to)] && !slices.Contains(s.pulls, ml) &&
		!(s.syringe.fixed && slices.Contains(s.syringe.volumes, ml))
}
