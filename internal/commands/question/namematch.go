package question

import (
	"slices"

	"holdbench/internal/spelling"
)

// nameMatch is a stretch of text that matches the name of a product, or a part of one.
type nameMatch struct {
	at       []int // its tokens, in order
	names    []int32
	cost     int
	strength strength
	products []int32 // those that it can stand for
}

// strength says how surely a match names a product.
type strength uint8

const (
	whole strength = iota // a whole name, not all of ordinary words
	plain                 // a whole name made of ordinary words only: "deep"
	head                  // the first word of a name, which begins no other: "dunmere"
	part                  // a word that several names share, or a slip of a name's word
	lone                  // an ordinary word of a longer name: "firm"
)

// single reports whether m is one word. One word needs clearer surroundings than two.
func (m nameMatch) single() bool { return len(m.at) == 1 }

func (m nameMatch) first() int { return m.at[0] }
func (m nameMatch) last() int  { return m.at[len(m.at)-1] }

// full reports whether m names a product, not only part of one.
func (m nameMatch) full() bool { return m.strength <= head }

// nameMatches lists the matches in the text, whole names first.
func (s *scan) nameMatches() []nameMatch {
	found := slices.Clone(s.protected)
	for i := 0; i < len(s.toks); i++ {
		if s.word(i) == "" {
			continue
		}
		if m, ok := s.wholeNameAt(i); ok {
			found = append(found, m)
			for _, at := range m.at {
				s.roles[at] = named
			}
		}
	}
	for i := range s.toks {
		if m, ok := s.partOfNameAt(i); ok {
			found = append(found, m)
		}
	}
	return found
}

// wholeNameAt returns the longest whole name that begins at token i, with or without slips.
func (s *scan) wholeNameAt(i int) (best nameMatch, ok bool) {
	at := []int{i}
	ways := []way{{}}
	for len(at) <= s.ix.longest+1 {
		last := at[len(at)-1]
		ways = s.extend(ways, last)
		m := s.match(at, ways)
		if m.names == nil {
			m = s.matchJoined(at)
		}
		// An exact name of two words gives way only to a longer exact one.
		settled := ok && best.cost <= spelling.Plural && len(best.at) > 1
		if m.names != nil && s.allowed(m) && (m.cost <= spelling.Plural || !settled) {
			best, ok = m, true
			best.at = append([]int(nil), at...)
		}
		next := s.nextInName(last)
		if next < 0 {
			break
		}
		at = append(at, next)
	}
	if ok {
		s.rank(&best)
	}
	return best, ok
}

// nextInName returns the token that continues a name behind token i, or -1. Words about dilution, hyphens and quotation
// marks may stand between; any other mark ends a name.
func (s *scan) nextInName(i int) int {
	j := i + 1
	for s.has(j) && (s.insideName(j) || s.isMark(j, ".") && len(s.text(i)) == 1 && j == i+1) {
		j++
	}
	if s.word(j) == "" {
		return -1
	}
	return j
}

// rank settles how surely a whole name that matches names a product.
func (s *scan) rank(m *nameMatch) {
	m.strength = plain
	for _, id := range m.names {
		if !s.ix.names[id].plain {
			m.strength = whole
		}
		m.products = addOnce(m.products, s.ix.names[id].product)
	}
	if m.cost > spelling.Plural {
		m.strength = whole // a slip is no ordinary word any more
	}
}

// insideName reports whether token i may stand between the words of a name: it is about dilution, a quotation mark or a
// hyphen.
func (s *scan) insideName(i int) bool {
	return s.roles[i] == diluted || s.isMark(i, `"'`) || s.isMark(i, "-") && (s.glued(i) || s.glued(i+1))
}

// partOfNameAt reads token i as part of a name.
func (s *scan) partOfNameAt(i int) (nameMatch, bool) {
	w := s.word(i)
	if len(w) < 3 {
		return nameMatch{}, false
	}
	m := nameMatch{at: []int{i}, strength: part, cost: spelling.TooFar}
	for _, o := range s.ix.options(w) {
		entry := s.ix.words[o.word]
		if o.cost > spelling.SlipOnce || len(o.word) < 3 {
			continue
		}
		m.cost = min(m.cost, o.cost)
		if entry.plain && o.cost <= spelling.Plural {
			m.strength = lone
		}
		if o.cost == spelling.Exact && !entry.plain && len(entry.heads) == len(entry.products) &&
			s.oneFamily(entry.products) {
			m.strength = head
		}
		m.products = addOnce(m.products, entry.products...)
	}
	if m.products == nil && !isOrdinary(w) {
		for _, full := range s.ix.begunBy(w) {
			m.products = addOnce(m.products, s.ix.words[full].heads...)
		}
	}
	return m, m.products != nil
}

// oneFamily reports whether the products are one, or one with its diluted forms.
func (s *scan) oneFamily(products []int32) bool {
	return len(products) == 1 || len(s.undiluted(products)) == 1 && s.dilution.stated()
}

// protectNames finds the names with numbers or marks in them, before anything reads these. They must be typed
// exactly, and no unit may follow a number at their end. The longest is taken.
func (s *scan) protectNames() {
	if len(s.ix.marked) == 0 {
		return
	}
	for i := 0; i < len(s.toks); i++ {
		var best []string
		var m nameMatch
		for _, id := range s.ix.marked[s.text(i)] {
			n := s.ix.names[id]
			_, unit := unitOf(s.text(i + len(n.exact)))
			if unit && isDigit(n.exact[len(n.exact)-1][0]) || len(n.exact) < len(best) || !s.sameTokens(i, n.exact) {
				continue
			}
			if len(n.exact) > len(best) {
				best, m = n.exact, nameMatch{}
			}
			m.names = append(m.names, id)
		}
		if len(best) == 0 {
			continue
		}
		for j := range best {
			m.at = append(m.at, i+j)
		}
		s.rank(&m)
		s.protected = append(s.protected, m)
		s.take(i, i+len(best), named)
		i += len(best) - 1
	}
}
