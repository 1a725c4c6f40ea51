package question

import "holdbench/internal/quantity"

// Product names contain words that sentences use too: "a deep injection of Orrick Mid", "soft tissue". The word
// before or behind tells which use it is.
var (
	// ordinaryLeaders make the word after them an ordinary one: "too deep".
	ordinaryLeaders = list("ordinary leaders")

	// ordinaryFollowers make the word before them an ordinary one: "deep plane".
	ordinaryFollowers = list("ordinary followers")
)

// ordinaryPairs have, by the last word of a name, the words that make an ordinary expression with it: "Orrick Mid
// face" may be Orrick for the mid-face.
var ordinaryPairs = listsOf("pair")

// ordinaryUse reports whether the word at i is used as an ordinary one.
func (s *scan) ordinaryUse(i int) bool {
	before, after := s.attached(i, -1), s.attached(i, 1)
	return before >= 0 && ordinaryLeaders[s.text(before)] || after >= 0 && ordinaryFollowers[s.text(after)]
}

// linkWords may stand beside a name of one word. Any other word there may belong to a longer name: "Hydra Boost".
var linkWords = list("link words")

// linked reports whether the neighbour of token i on one side is no part of its name: nothing, a mark, a measure or a
// link word.
func (s *scan) linked(i, step int) bool {
	j := s.attached(i, step)
	return j < 0 || s.roles[j] != free && !s.isPlainPart(j) || s.toks[j].is != word || linkWords[s.toks[j].text]
}

// nameLike reports whether a plain name stands where a name would: "for deep, 27G 13 mm".
func (s *scan) nameLike(m nameMatch) bool {
	return s.linked(m.first(), -1) && s.linked(m.last(), 1) && !s.ordinaryUse(m.first()) && !s.ordinaryUse(m.last())
}

// attached returns the token next to i in the direction of step, past hyphens, quotation marks and words about
// dilution; -1 for any other mark and for nothing.
func (s *scan) attached(i, step int) int {
	j := i + step
	for s.has(j) && s.insideName(j) {
		j += step
	}
	if !s.has(j) || s.toks[j].is == mark && !s.isMark(j, "/&+") {
		return -1
	}
	return j
}

// unknown reports whether the word at i is neither an ordinary word nor one of a name, nor a slip of either.
func (s *scan) unknown(i int) bool {
	w := s.word(i)
	if len(w) < 2 || isOrdinary(w) || quantity.UnitOf(w) != quantity.NoUnit {
		return false
	}
	return !s.ix.knowsWord(w) && len(s.ix.options(w)) == 0 && len(s.ix.begunBy(w)) == 0
}
