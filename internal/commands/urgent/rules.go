package urgent

import (
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/wordlist"
)

// rule gives a weight to meanings that occur together.
type rule struct {
	weight int
	terms  []term
	within int // how many tokens may lie between the first term and each other, 0 for any number
}

// term is a token with one of some meanings.
type term struct {
	is       meaning
	of       owner
	owned    bool // it has to have that owner
	absent   bool // there must be none
	anywhere bool // in the whole message, not only in the sentences that are weighed
}

// mostTogether is how many tokens are weighed at once: about two spoken sentences.
const mostTogether = 32

// readRules reads rules.txt: classes of meanings, and lists of rules, each a weight and terms.
func (l *lexicon) readRules() {
	lists := map[string]*[]rule{"harm": &l.harm, "blood": &l.blood, "further": &l.further}
	for list, line := range wordlist.Lines(text("rules.txt")) {
		words := strings.Fields(line)
		if list == "class" {
			for _, name := range words[1:] {
				l.bits[words[0]] |= l.known(name)
			}
			continue
		}
		weight, err := strconv.Atoi(words[0])
		if err != nil || lists[list] == nil {
			panic("rules.txt: " + line)
		}
		*lists[list] = append(*lists[list], l.newRule(weight, words[1:]))
	}
}

// known is the bits of a meaning or a class of them. A name without any is a mistake in the files.
func (l *lexicon) known(name string) meaning {
	if l.bits[name] == 0 {
		panic("rules.txt: no word is " + name)
	}
	return l.bits[name]
}

func (l *lexicon) newRule(weight int, words []string) rule {
	r := rule{weight: weight}
	for _, w := range words {
		if n, err := strconv.Atoi(w); err == nil {
			r.within = n
			continue
		}
		var t term
		w, t.absent = strings.CutPrefix(w, "!")
		w, t.anywhere = strings.CutPrefix(w, "*")
		w, of, owned := strings.Cut(w, ".")
		if t.owned = owned; of == "body" {
			t.of = aBody
		}
		for name := range strings.SplitSeq(w, "|") {
			t.is |= l.known(name)
		}
		r.terms = append(r.terms, t)
	}
	return r
}

// tells reports whether some sentences of a message have enough weight together. Each is weighed alone and with those
// that follow, so that the bench in one sentence does not hide a person in the next.
func (m heard) tells(rules []rule) bool {
	for from := 0; from < len(m.tokens); {
		end := from
		for end < len(m.tokens) && end < from+mostTogether && m.tokens[end].is&m.bits["stop"] == 0 {
			end++
		}
		more := min(len(m.tokens), from+mostTogether)
		if m.weigh(m.tokens[from:end], rules) >= told || m.weigh(m.tokens[from:more], rules) >= told {
			return true
		}
		if from = end + 1; end-from >= mostTogether {
			from = end - mostTogether/2
		}
	}
	return false
}

func (m heard) weigh(tokens []token, rules []rule) (weight int) {
	var all meaning
	for _, t := range tokens {
		all |= t.is
	}
	for _, r := range rules {
		if r.holds(tokens, all, m.whole) {
			weight += r.weight
		}
	}
	return weight
}

// holds reports whether the terms of a rule occur in some tokens. all has the meanings of these, whole those of the
// message.
func (r rule) holds(tokens []token, all, whole meaning) bool {
	for _, t := range r.terms {
		in := all
		if t.anywhere {
			in = whole
		}
		if in&t.is == 0 != t.absent {
			return false
		}
	}
	if r.within == 0 && !slices.ContainsFunc(r.terms, func(t term) bool { return t.owned }) {
		return true
	}
	for i := range tokens {
		if r.terms[0].fits(tokens[i]) && r.restFits(tokens, i) {
			return true
		}
	}
	return false
}

// restFits reports whether the other terms occur near the token at i, which is the first.
func (r rule) restFits(tokens []token, i int) bool {
	from, to := 0, len(tokens)
	if r.within > 0 {
		from, to = max(0, i-r.within-1), min(len(tokens), i+r.within+2)
	}
	for _, t := range r.terms[1:] {
		if t.absent || t.anywhere {
			continue
		}
		if !slices.ContainsFunc(tokens[from:i], t.fits) && !slices.ContainsFunc(tokens[i+1:to], t.fits) {
			return false
		}
	}
	return true
}

func (t term) fits(w token) bool { return w.is&t.is != 0 && (!t.owned || w.owner == t.of) }
