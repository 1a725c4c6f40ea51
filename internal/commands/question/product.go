package question

import (
	"slices"

	"holdbench/internal/spelling"
)

// productRead is what the text says about the product.
type productRead struct {
	product int32
	ok      bool
	options []int32 // unless ok: what it could be, empty if nothing is named
	problem string  // unless ok: why
	unread  string  // a name that is on no list
}

// readProduct decides which product the text names. Anything but one clear name gives options.
func (s *scan) readProduct() productRead {
	found := s.withoutDenied(s.sortOut(s.nameMatches()))
	var r productRead
	var full, parts []nameMatch
	doubt := false
	for _, m := range found {
		switch {
		case m.strength == lone && !s.rivals(m):
		case m.full():
			full = append(full, m)
			doubt = doubt || s.doubtful(m)
		default:
			parts = append(parts, m)
		}
	}
	for _, m := range full {
		r.options = addOnce(r.options, s.dilute(m)...)
	}
	switch {
	case len(full) > 0:
		return s.settle(r, full, parts, doubt)
	case len(parts) > 0:
		return s.fromParts(parts, found)
	}
	r = s.fromLone(found)
	if len(s.gauges)+len(s.lengths) == 0 {
		r.options = nil // "she wanted soft lips": a story, not a question
	}
	return r
}

// rivals reports whether an ordinary word is the name of another gel: "Orrick Mid 27G 13 mm vs firm".
func (s *scan) rivals(m nameMatch) bool {
	before := s.text(s.overArticles(m.first()-1, -1))
	return m.cost <= spelling.Exact && (nameJoints[before] || before == "than") && !s.ordinaryUse(m.first()) &&
		s.linked(m.last(), 1)
}

// withoutDenied leaves out what a plain "not" denies if another gel is named whole: "Orrick Mid, not firm". It leaves
// out nothing if "or" follows, which may be denied as well.
func (s *scan) withoutDenied(found []nameMatch) []nameMatch {
	var kept, denied []nameMatch
	named := false
	for _, m := range found {
		if s.deniedFrom(m.first()) < 0 {
			kept, named = append(kept, m), named || m.full()
			continue
		}
		if nameJoints[s.text(s.attached(m.last(), 1))] {
			return found
		}
		denied = append(denied, m)
	}
	for _, d := range denied {
		for _, m := range kept {
			named = named && !(m.full() && d.full() && shares(s.family([]nameMatch{m}), s.family([]nameMatch{d})))
		}
	}
	if !named {
		return found
	}
	for _, d := range denied {
		s.take(s.deniedFrom(d.first()), d.last()+1, noise)
	}
	return kept
}

// settle decides for a text with at least one whole name.
func (s *scan) settle(r productRead, full, parts []nameMatch, doubt bool) productRead {
	for _, m := range parts {
		if !shares(m.products, r.options) {
			r.options = append(r.options, m.products...)
			r.problem = "More than one gel is named."
			return r
		}
		doubt = doubt || s.doubtBeside(m, m.last(), 1)
	}
	switch {
	case len(r.options) == 0:
		return s.noSuchDilution(full)
	case s.dilution.clash(), s.ratioAstray(), s.anyOfFamily(full):
		r.options = s.family(full)
		r.problem = "It is not clear whether the gel is diluted, and how."
	case len(r.options) > 1:
		r.problem = "More than one gel fits."
	case doubt || s.unknownBesideSize(full) || s.speaksOfOther():
		r.options = s.withSiblings(r.options)
		r.problem = "It is not clear which gel is meant."
	default:
		r.product, r.ok = r.options[0], true
	}
	return r
}

// openWords before a name leave it open which of its dilutions is meant.
var openWords = list("open words")

// anyOfFamily reports whether it is open which of a gel's dilutions is meant: "either hesk", "any of the hesks".
func (s *scan) anyOfFamily(full []nameMatch) bool {
	if len(s.family(full)) < 2 {
		return false
	}
	if len(full) > 1 && s.dilution.stated() {
		return true // "is hesk diluted the same as hesk"
	}
	for _, m := range full {
		i := m.first() - 1
		for s.has(i) && (s.roles[i] == diluted || s.text(i) == "the" || s.text(i) == "of") {
			i--
		}
		if openWords[s.text(i)] {
			return true
		}
	}
	return false
}

// noSuchDilution is read from a gel that the list does not have in the named dilution.
func (s *scan) noSuchDilution(full []nameMatch) productRead {
	r := productRead{options: s.family(full), problem: "The list has no such dilution of this gel."}
	if s.dilution.typed != "" {
		r.problem = "The list has no " + s.dilution.typed + " dilution of this gel."
	} else if !s.dilution.stated() {
		r.problem = "The list has this gel in one dilution only."
	}
	return r
}

// sortOut decides for each plain name whether it is used as a name. Beside another clear name it is one unless it is
// plainly an ordinary word; without one it has to be plainly a name.
func (s *scan) sortOut(found []nameMatch) []nameMatch {
	clear := slices.ContainsFunc(found, func(m nameMatch) bool { return m.strength == whole })
	var kept []nameMatch
	for _, m := range found {
		if m.strength == plain {
			if clear && (s.ordinaryUse(m.first()) || s.ordinaryUse(m.last())) {
				continue
			}
			if !clear && !s.nameLike(m) {
				m.strength = lone
			}
		}
		if m.strength == head && !s.linked(m.last(), 1) {
			m.strength = part
		}
		kept = append(kept, m)
	}
	return kept
}

// fromParts offers what the parts of names could stand for, and what ordinary words of names beside them could: "Orrick
// Soft" could be either.
func (s *scan) fromParts(parts, found []nameMatch) productRead {
	r := productRead{problem: "That name could be more than one gel."}
	for _, m := range parts {
		r.options = addOnce(r.options, m.products...)
		for _, other := range found {
			if other.strength == lone && (s.attached(m.last(), 1) == other.first() ||
				s.attached(m.first(), -1) == other.first()) {
				r.options = addOnce(r.options, other.products...)
			}
		}
	}
	r.options = s.narrow(r.options)
	if len(r.options) == 1 {
		r.problem = "That is not the whole name of a gel on the list."
	}
	return r
}

// fromLone offers the products with one of the ordinary words in their names. Beside an unknown word it is part of an
// unknown name.
func (s *scan) fromLone(found []nameMatch) productRead {
	r := productRead{problem: "No gel is named."}
	for _, m := range found {
		for _, step := range []int{-1, 1} {
			if j := s.attached(m.first(), step); j >= 0 && s.unknown(j) {
				return productRead{unread: s.strangeName()}
			}
		}
		if s.ordinaryUse(m.first()) || m.cost > spelling.Exact {
			continue
		}
		r.problem = "That is not the whole name of a gel on the list."
		r.options = addOnce(r.options, m.products...)
	}
	r.options = s.narrow(r.options)
	if len(r.options) == 0 {
		r.unread = s.strangeName()
	}
	return r
}

// strangeName returns the first unknown word with the words of its name behind it, as typed.
func (s *scan) strangeName() string {
	for i := range s.toks {
		if len(s.word(i)) < 3 || !s.unknown(i) {
			continue
		}
		out := s.toks[i].raw
		for j := s.attached(i, 1); j == i+1 && s.word(j) != "" &&
			(s.unknown(j) || variantTails[s.text(j)] || s.isPlainPart(j)); j = s.attached(j, 1) {
			out += " " + s.toks[j].raw
			i = j
		}
		return clip(out)
	}
	return ""
}

// shares reports whether two lists have a value in common.
func shares(a, b []int32) bool {
	return slices.ContainsFunc(a, func(x int32) bool { return slices.Contains(b, x) })
}
