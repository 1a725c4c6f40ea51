package question

import (
	"slices"
	"strings"

	"holdbench/internal/spelling"
	"holdbench/internal/trade"
)

// Index has the names of a group's products, its instruments and its syringes, ready for reading. It does not change
// once built.
type Index struct {
	products    []trade.Product
	instruments []trade.Instrument
	syringes    []trade.Syringe

	facts        []productFacts // beside products
	syringeNames [][]string     // of syringes that must be named outright, as tokens
	names        []name
	forward      map[string][]int32 // the words of a name with blanks between them → names
	reversed     map[string][]int32 // two words the other way round → names
	joined       map[string][]int32 // the words of a name without blanks → names
	words        map[string]*nameWord
	wordKeys     []string
	heads        []string // first words of official names, sorted
	joinedKeys   []string
	nearWords    spelling.Near      // → wordKeys
	nearJoined   spelling.Near      // → joinedKeys
	marked       map[string][]int32 // first token of a name with numbers or marks in it → names
	longest      int                // words in the longest name
}

// name is one name of a product: the official one or an alias. Its words leave out what it says about dilution, so that
// "hesk diluted" and "diluted hesk" are one name.
type name struct {
	product  int32
	words    []string
	exact    []string // all its tokens, if one is a number or a mark that is no dilution's
	dilution dilutionRead
	plain    bool // it has ordinary words only: "deep"
}

// productFacts are what a product's names say.
type productFacts struct {
	head    string  // first word of the official name
	diluted bool    // by its class or its official name
	ratio   float64 // of the dilution, 0 if no name states it
}

// nameWord is a word that occurs in names.
type nameWord struct {
	products []int32 // those whose official name has it
	heads    []int32 // those whose official name begins with it
	plain    bool    // it is an ordinary word too
}

// NewIndex builds the index of one version of a group's vocabulary.
func NewIndex(products []trade.Product, instruments []trade.Instrument, syringes []trade.Syringe) *Index {
	ix := &Index{
		products:    append([]trade.Product(nil), products...),
		instruments: append([]trade.Instrument(nil), instruments...),
		syringes:    append([]trade.Syringe(nil), syringes...),
		forward:     make(map[string][]int32),
		reversed:    make(map[string][]int32),
		joined:      make(map[string][]int32),
		words:       make(map[string]*nameWord),
		marked:      make(map[string][]int32),
		nearWords:   make(spelling.Near),
		nearJoined:  make(spelling.Near),
	}
	ix.facts = make([]productFacts, len(products))
	for i, p := range ix.products {
		ix.facts[i].diluted = p.Diluted()
		ix.addName(int32(i), p.Name, true)
		for _, alias := range p.Aliases {
			ix.addName(int32(i), alias, false)
		}
	}
	for i, w := range ix.wordKeys {
		ix.nearWords.Add(w, int32(i), len(w) >= 6)
	}
	for i, w := range ix.joinedKeys {
		ix.nearJoined.Add(w, int32(i), false)
	}
	for _, f := range ix.facts {
		ix.heads = append(ix.heads, f.head)
	}
	slices.Sort(ix.heads)
	ix.heads = slices.Compact(ix.heads)
	ix.nameSyringes()
	return ix
}

// addName enters one name of product p.
func (ix *Index) addName(p int32, text string, official bool) {
	n := parseName(text)
	n.product = p
	if len(n.words) == 0 {
		return
	}
	facts := &ix.facts[p]
	if official {
		facts.head = n.words[0]
		facts.diluted = facts.diluted || n.dilution.said
	}
	if facts.ratio == 0 {
		facts.ratio = n.dilution.ratio
	}
	id := int32(len(ix.names))
	ix.names = append(ix.names, n)
	ix.longest = max(ix.longest, len(n.words))
	if n.exact != nil {
		ix.marked[n.exact[0]] = append(ix.marked[n.exact[0]], id)
	}
	key := strings.Join(n.words, " ")
	ix.forward[key] = append(ix.forward[key], id)
	if len(n.words) == 2 && len(n.words[0]) > 1 && len(n.words[1]) > 1 {
		back := n.words[1] + " " + n.words[0]
		ix.reversed[back] = append(ix.reversed[back], id)
	}
	ix.addJoined(n, id)
	for i, w := range n.words {
		ix.addWord(p, w, official, i == 0)
	}
}

// addJoined enters a name without its blanks. Names that end in a lone letter are left out: "tamsels" is the plural of
// Tamsel, not "tamsel s". Those that begin with one are too near other words to be looked for with slips.
func (ix *Index) addJoined(n name, id int32) {
	slips := true
	for i, w := range n.words {
		if len(w) == 1 && i > 0 {
			return
		}
		slips = slips && len(w) > 1
	}
	run := strings.Join(n.words, "")
	if ix.joined[run] == nil && slips {
		ix.joinedKeys = append(ix.joinedKeys, run)
	}
	ix.joined[run] = append(ix.joined[run], id)
}

// addWord enters one word of a name of product p.
func (ix *Index) addWord(p int32, w string, official, head bool) {
	entry := ix.words[w]
	if entry == nil {
		entry = &nameWord{plain: isEveryday(w)}
		ix.words[w] = entry
		ix.wordKeys = append(ix.wordKeys, w)
	}
	if official {
		entry.products = addOnce(entry.products, p)
		if head {
			entry.heads = addOnce(entry.heads, p)
		}
	}
}

// parseName splits a name into its words and what it says about dilution.
func parseName(text string) name {
	var empty Index
	s := newScan(&empty, tokenize(fold(text)))
	s.markNoise()
	s.readDilution()
	n := name{dilution: s.dilution, plain: true}
	for i, t := range s.toks {
		if t.is != word && s.roles[i] != diluted && !(t.is == mark && t.text == "-") {
			n.exact = tokenTexts(s.toks)
		}
	}
	for i, t := range s.toks {
		if t.is == mark || s.roles[i] == diluted {
			continue
		}
		n.words = append(n.words, t.text)
		n.plain = n.plain && len(t.text) > 1 && isEveryday(t.text)
	}
	return n
}

func tokenTexts(toks []token) (texts []string) {
	for _, t := range toks {
		texts = append(texts, t.text)
	}
	return texts
}

// begunBy returns the first words of official names that begin with w, if they are few: Dunmere for "dunm". They are
// offered, never answered.
func (ix *Index) begunBy(w string) []string {
	from, _ := slices.BinarySearch(ix.heads, w)
	to := from
	for to < len(ix.heads) && strings.HasPrefix(ix.heads[to], w) {
		to++
	}
	if len(w) < 3 || to-from > mostBegun {
		return nil
	}
	return ix.heads[from:to]
}

// mostBegun is the largest number of names that are offered for a beginning.
const mostBegun = 8

// nameSyringes notes the names of the syringes that are neither the supplied one nor a fixed-needle one.
func (ix *Index) nameSyringes() {
	ix.syringeNames = make([][]string, len(ix.syringes))
	for i, sy := range ix.syringes {
		if sy.FixedNeedle || strings.EqualFold(sy.Name, trade.Supplied) {
			continue
		}
		for _, t := range tokenize(fold(sy.Name)) {
			ix.syringeNames[i] = append(ix.syringeNames[i], t.text)
		}
	}
}

// knowsWord reports whether w is a word of a name, or a name without its blanks.
func (ix *Index) knowsWord(w string) bool {
	return ix.words[w] != nil || ix.joined[w] != nil
}

// listsGauge reports whether the list has an instrument of a gauge.
func (ix *Index) listsGauge(gauge int) bool {
	return slices.ContainsFunc(ix.instruments, func(in trade.Instrument) bool { return in.Gauge == gauge })
}

// listsSize reports whether the list has an instrument of this size.
func (ix *Index) listsSize(gauge int, mm float64) bool { return len(ix.ofSize(gauge, mm)) > 0 }

// listsLength reports whether the list has an instrument of this length.
func (ix *Index) listsLength(mm float64) bool {
	long := func(in trade.Instrument) bool { return hasLength([]float64{mm}, in.LengthMM) }
	return slices.ContainsFunc(ix.instruments, long)
}

// fixedVolume reports whether fixed-needle syringes come in this volume.
func (ix *Index) fixedVolume(ml float64) bool {
	_, ok := ix.fixedOf(ml)
	return ok
}

// sameVolume reports whether two volumes are the same but for rounding.
func sameVolume(a, b float64) bool { return a-b < 1e-6 && b-a < 1e-6 }
