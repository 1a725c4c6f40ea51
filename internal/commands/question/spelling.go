package question

import (
	"slices"
	"strings"

	"holdbench/internal/spelling"
)

// way is one way to read some words of the text as words of names.
type way struct {
	key  string // the words of names with blanks between them
	cost int
}

// mostWays is how many ways are followed up.
const mostWays = 32

// wordOption is a word of a name that a typed word may be.
type wordOption struct {
	word string
	cost int
}

// options returns the words of names that w may be. A word of a name is only itself; an ordinary word is at most the
// plural of one.
func (ix *Index) options(w string) []wordOption {
	if ix.words[w] != nil {
		return []wordOption{{w, spelling.Exact}}
	}
	if isEveryday(w) {
		for _, end := range []string{"s", "es"} {
			if stem, ok := strings.CutSuffix(w, end); ok && len(stem) >= 3 && ix.words[stem] != nil {
				return []wordOption{{stem, spelling.Plural}}
			}
		}
		return nil
	}
	var found []wordOption
	for _, id := range ix.nearWords.Candidates(w) {
		want := ix.wordKeys[id]
		if cost := spelling.Cost(w, want); cost <= spelling.Limit(w, want) {
			found = append(found, wordOption{want, cost})
		}
	}
	return found
}

// cutShort returns the words of names that w is without its last letter if an exact word of a name stands before it:
// "hesk past". Alone such a word is an ordinary one.
func (ix *Index) cutShort(w string, before []way) (found []wordOption) {
	if len(w) < 3 || !isEveryday(w) || ix.words[w] != nil || len(before) == 0 || before[0].key == "" ||
		before[0].cost != spelling.Exact {
		return nil
	}
	for _, id := range ix.nearWords.Candidates(w) {
		if want := ix.wordKeys[id]; len(want) == len(w)+1 && strings.HasPrefix(want, w) {
			found = append(found, wordOption{want, spelling.SlipOnce})
		}
	}
	for _, other := range ix.wordKeys {
		if len(other) == len(w) && spelling.Distance(w, other, 2) <= 2 && ix.forward[before[0].key+" "+other] != nil {
			return nil // two slips lead to another name
		}
	}
	return found
}

// extend adds token i to each way.
func (s *scan) extend(ways []way, i int) []way {
	var longer []way
	for _, o := range append(s.ix.options(s.text(i)), s.ix.cutShort(s.text(i), ways)...) {
		for _, w := range ways {
			key := strings.TrimPrefix(w.key+" "+o.word, " ")
			if w.cost+o.cost <= spelling.TwoSlips && len(longer) < mostWays {
				longer = append(longer, way{key, w.cost + o.cost})
			}
		}
	}
	return longer
}

// match looks up which names the ways are.
func (s *scan) match(at []int, ways []way) nameMatch {
	n := nearest{costs: make(map[int32]int, len(ways))}
	for _, w := range ways {
		ids := s.ix.forward[w.key]
		if ids == nil {
			ids = s.ix.reversed[w.key]
		}
		n.add(ids, w.cost)
	}
	return n.match(at)
}

// nearest gathers the names that some words may be, with what each costs.
type nearest struct {
	names []int32
	costs map[int32]int
}

func (n *nearest) add(names []int32, cost int) {
	for _, id := range names {
		if have, ok := n.costs[id]; !ok || cost < have {
			n.costs[id] = cost
			n.names = addOnce(n.names, id)
		}
	}
}

// match keeps the names that cost the least: exact ones, or those with a slip and any that cost one more.
func (n nearest) match(at []int) nameMatch {
	m := nameMatch{at: at, cost: spelling.TooFar}
	for _, cost := range n.costs {
		m.cost = min(m.cost, cost)
	}
	room := m.cost
	if m.cost > spelling.Exact {
		room++
	}
	m.names = having(n.names, func(id int32) bool { return n.costs[id] <= room })
	return m
}

// How long words without their blanks have to be, in letters, to be read as a name, with a slip, and if all of them are
// ordinary words ("or rick mid"), which could be there by chance.
const (
	shortestRun    = 4
	shortestJoined = 6
	surelyJoined   = 8
)

// matchJoined reads the tokens without the blanks between them: one is missing ("orrickmid"), one is too many ("orr ick
// mid"), or one is in the wrong place.
func (s *scan) matchJoined(at []int) nameMatch {
	m := nameMatch{at: at, cost: spelling.TooFar}
	var b strings.Builder
	ordinary := true
	for _, i := range at {
		b.WriteString(s.text(i))
		ordinary = ordinary && isEveryday(s.text(i))
	}
	run := b.String()
	if len(run) < shortestRun || ordinary && len(run) < surelyJoined {
		return m
	}
	if ids := s.ix.joined[run]; ids != nil {
		m.names, m.cost = ids, spelling.Exact
		return m
	}
	// "orrick mid s" is no plural
	if len(run) < shortestJoined || s.anyEveryday(at) || len(s.text(at[len(at)-1])) == 1 {
		return m
	}
	n := nearest{costs: make(map[int32]int)}
	for _, key := range s.ix.nearJoined.Candidates(run) {
		want := s.ix.joinedKeys[key]
		if cost := spelling.Cost(run, want); cost <= spelling.SlipOnce && len(want) >= shortestJoined {
			n.add(having(s.ix.joined[want], func(id int32) bool { return len(s.ix.names[id].words) != len(at) }), cost)
		}
	}
	return n.match(at)
}

// anyEveryday reports whether an ordinary word that is in no name is among several tokens. A slip is not read across
// it.
func (s *scan) anyEveryday(at []int) bool {
	strange := func(i int) bool { return isEveryday(s.text(i)) && s.ix.words[s.text(i)] == nil }
	return len(at) > 1 && slices.ContainsFunc(at, strange)
}

// allowed reports whether a match is near enough: a name of one short word has to be exact, one longer word may have
// one slip.
func (s *scan) allowed(m nameMatch) bool {
	for _, id := range m.names {
		words := s.ix.names[id].words
		if len(words) > 1 {
			for _, w := range words {
				if len(w) == 1 && m.cost > spelling.Plural {
					return false // "t fine" must be exact
				}
			}
			continue
		}
		if len(words[0]) < 5 && m.cost > spelling.Plural {
			return false
		}
	}
	return true
}
