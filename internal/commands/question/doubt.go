package question

import (
	"strings"
	"unicode"
)

// variantTails behind a name make it another product's, "Orrick Mid Plus"; variantLeads do so before it.
var (
	variantTails = list("variant tails")
	variantLeads = list("variant leads")
)

// nameJoints set one name against another.
var nameJoints = list("name joints")

// changeWords tell of a change from one product to another. If the text has an unknown word as well, the product that
// it names may be the one given up.
var changeWords = list("change words")

// corrections take back what was said before them.
var corrections = list("corrections")

// productSlots are words before a product. An unknown word behind one is a product that is on no list, whatever else
// the text names.
var productSlots = list("product slots")

// doubtful reports whether the words around m may make it another product than the one that it names.
func (s *scan) doubtful(m nameMatch) bool {
	return s.negatedAt(m.first()) || s.debrisAfter(m) || s.diluentAfter(m) || s.doubtBeside(m, m.last(), 1) ||
		s.doubtBeside(m, m.first(), -1)
}

// doubtBeside looks at one side of a name.
func (s *scan) doubtBeside(m nameMatch, edge, step int) bool {
	j := s.attached(edge, step)
	if j < 0 {
		return step > 0 && s.isMark(edge+1, ",") && s.setAgainst(edge+2, false)
	}
	w := s.text(j)
	switch {
	case nameJoints[w] && s.roles[j] == free:
		return w == "+" && s.glued(j) || s.setAgainst(s.overArticles(j+step, step), true)
	case s.roles[j] != free:
		return s.isPlainPart(j) && !s.ordinaryUse(j)
	case s.unknown(j) && !(step < 0 && otherScript(w)), step > 0 && s.isStrayLetter(j):
		return true
	case s.isPlainPart(j):
		return !s.ordinaryUse(j)
	case step > 0 && variantTails[w], step < 0 && variantLeads[w]:
		return w != "long" || s.text(j+1) != "enough"
	case step > 0 && (m.single() && !linkWords[w] || len(w) > 1 && !goesOn(w)):
		return true
	}
	return step > 0 && s.makesPair(m, w)
}

// otherScript reports whether a word has letters that are not Latin. Such a word may be part of a name that it follows,
// not of one that it precedes.
func otherScript(w string) bool {
	return strings.ContainsFunc(w, func(r rune) bool { return !unicode.Is(unicode.Latin, r) })
}

// setAgainst reports whether the word at i is, or may be, another product's.
func (s *scan) setAgainst(i int, orUnknown bool) bool {
	if !s.has(i) {
		return false
	}
	return orUnknown && s.unknown(i) || s.isPlainPart(i) && !s.ordinaryUse(i)
}

// overArticles returns the token after the articles at i.
func (s *scan) overArticles(i, step int) int {
	for s.text(i) == "the" || s.text(i) == "a" {
		i += step
	}
	return i
}

// letterWords are the words of one letter, short forms included: "w 27g", "n how long".
var letterWords = set("a i u n w r y o e")

// isStrayLetter reports whether token i is a single letter that is neither a word nor the "x" between measures. It may
// belong to the name beside it.
func (s *scan) isStrayLetter(i int) bool {
	w := s.text(i)
	return len(w) == 1 && !letterWords[w] && !(s.toks[i].raw == "x" && s.has(i+1) && s.toks[i+1].is == number)
}

// isPlainPart reports whether the word at i is an ordinary word that is also part of a product's name, or all of one.
func (s *scan) isPlainPart(i int) bool {
	if !s.has(i) || s.roles[i] != free && s.roles[i] != named {
		return false
	}
	entry := s.ix.words[s.text(i)]
	return entry != nil && entry.plain && len(s.text(i)) > 2
}

// makesPair reports whether the last word of m and the word w behind it are an ordinary expression, so that only the
// first word of m may be a name. That matters if the first word alone does not settle the product.
func (s *scan) makesPair(m nameMatch, w string) bool {
	if m.single() || !ordinaryPairs[s.text(m.last())][w] {
		return false
	}
	for _, o := range s.ix.options(s.text(m.first())) {
		if entry := s.ix.words[o.word]; !s.oneFamily(entry.products) {
			return true
		}
	}
	return false
}

// unknownBesideSize reports whether an unknown word stands where the product would: right before the first size, or
// right behind the last if the known name comes later.
func (s *scan) unknownBesideSize(full []nameMatch) bool {
	first, last := -1, -1
	for i := range s.toks {
		if s.sizeAt(i) {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first < 0 {
		return false
	}
	before, after := s.attached(first, -1), s.attached(last, 1)
	return before >= 0 && s.unknown(before) || after >= 0 && s.unknown(after) && full[0].first() > last
}

// speaksOfOther reports whether the text seems to be about another product than the one that it names: it has an
// unknown word where a product would stand, an unknown word and a change from one thing to another, or a correction.
func (s *scan) speaksOfOther() bool {
	change, strange := false, false
	for i := range s.toks {
		change = change || changeWords[s.word(i)]
		if len(s.word(i)) > 3 && s.unknown(i) {
			strange = true
			if productSlots[s.text(i-1)] {
				return true
			}
		}
		denied := s.text(i-1) == "not" && s.isMark(i-2, ",") // "orrick mid, not firm"
		if s.isPlainPart(i) && s.corrected(i) && !s.ordinaryUse(i) && !denied {
			return true
		}
	}
	return change && strange
}

// corrected reports whether a word before i takes back what was said.
func (s *scan) corrected(i int) bool {
	for i--; s.isMark(i, ",.-"); i-- {
	}
	return corrections[s.word(i)]
}
