package urgent

import (
	"embed"
	"slices"
	"strings"
	"sync"

	"holdbench/internal/spelling"
	"holdbench/internal/wordlist"
)

//go:embed words rules.txt short.txt
var files embed.FS

// lexiconOf reads the embedded files once.
var lexiconOf = sync.OnceValue(newLexicon)

// meaning is a set of the meanings that a word has, one bit each.
type meaning uint64

// lexicon has every known word with its meanings.
type lexicon struct {
	bits    map[string]meaning  // the name of a meaning in the files → its bit
	short   map[string]string   // a word as a thumb shortens it → the word
	words   map[string]meaning  // ordinary words too, which have none
	stems   map[string]meaning  // beginnings of words
	phrases map[string][]phrase // by their first word, the longest first
	slips   map[string][]string // a word without a letter or two → the words that it may be
	longest int                 // letters of the longest word in slips

	harm, blood, further []rule
}

// phrase is several words with a meaning together.
type phrase struct {
	words  []string
	is     meaning
	denies bool // one of the words is a "no"
}

// How long a word has to be, in letters, to be known with a slip and, if it is grave, with two. Shorter words with
// slips are other words. Words that are not English need long-2, because many are one slip from an English word.
const (
	shortest = 5
	long     = 9

	fewestBones = 4
	english     = "en.txt"
)

func newLexicon() *lexicon {
	l := &lexicon{bits: map[string]meaning{}, short: map[string]string{}, words: map[string]meaning{},
		stems: map[string]meaning{}, phrases: map[string][]phrase{}, slips: map[string][]string{}}
	folder, err := files.ReadDir("words")
	if err != nil {
		panic(err) // the program was built without its words
	}
	for _, line := range wordlist.Lines(text("short.txt")) {
		words := strings.Fields(line)
		for _, w := range words[1:] {
			l.short[w] = words[0]
		}
	}
	hurried := map[string]bool{} // the words that are known with a slip in them
	for _, f := range folder {
		for name, line := range wordlist.Lines(text("words/" + f.Name())) {
			is := l.bit(name)
			for _, w := range strings.Fields(spelling.Plain(line)) {
				l.add(w, is)
				hurried[w] = hurried[w] || len(w) >= long-2 || len(w) >= shortest && f.Name() == english
			}
		}
	}
	for _, all := range l.phrases {
		slices.SortStableFunc(all, func(a, b phrase) int { return len(b.words) - len(a.words) })
		for i := range all {
			all[i].denies = slices.ContainsFunc(all[i].words,
				func(w string) bool { return l.words[w]&l.bits["no"] != 0 })
		}
	}
	for _, name := range []string{"product", "figure"} { // no word of the files has these meanings
		l.bit(name)
	}
	l.readRules()
	for w, is := range l.words {
		if hurried[w] && is&l.bits["telling"] != 0 {
			l.addSlips(w, is)
		}
	}
	return l
}

// text is an embedded file.
func text(name string) string {
	text, err := files.ReadFile(name)
	if err != nil {
		panic(err) // the program was built without its words
	}
	return string(text)
}

// bit is the bit of a meaning. Ordinary words have none.
func (l *lexicon) bit(name string) meaning {
	if name == "ordinary" {
		return 0
	}
	if l.bits[name] == 0 {
		if len(l.bits) == 64 {
			panic("more meanings than bits")
		}
		l.bits[name] = 1 << len(l.bits)
	}
	return l.bits[name]
}

// add adds a word, a stem, which ends in a star, or a phrase, whose words are joined by low lines.
func (l *lexicon) add(w string, is meaning) {
	parts := strings.Split(w, "_")
	for i, p := range parts {
		parts[i] = l.inFull(p)
	}
	switch stem, isStem := strings.CutSuffix(w, "*"); {
	case len(parts) > 1:
		all := l.phrases[parts[0]]
		if i := slices.IndexFunc(all, func(p phrase) bool { return slices.Equal(p.words, parts) }); i >= 0 {
			all[i].is |= is
			return
		}
		l.phrases[parts[0]] = append(all, phrase{words: parts, is: is})
		for _, p := range parts {
			l.words[p] |= 0 // a word of a phrase is no slip of another
		}
	case isStem:
		l.stems[stem] |= is
	default:
		l.words[parts[0]] |= is
	}
}

// inFull is the whole word for one that a thumb has shortened, or the word itself.
func (l *lexicon) inFull(w string) string {
	if full, ok := l.short[w]; ok {
		return full
	}
	return w
}

// addSlips adds a word under each form that it is found by if it is typed with slips.
func (l *lexicon) addSlips(w string, is meaning) {
	l.longest = max(l.longest, len(w))
	enter := func(left []byte) {
		if all := l.slips[string(left)]; !slices.Contains(all, w) {
			l.slips[string(left)] = append(all, w)
		}
	}
	shortened(w, l.slipsIn(w, is), enter)
	if b := bones(w); b != nil && is&l.bits["grave"] != 0 {
		enter(b)
	}
}

func (l *lexicon) slipsIn(w string, is meaning) int {
	if len(w) >= long && is&l.bits["grave"] != 0 {
		return 2
	}
	return 1
}

// shortened calls each with a word, and with every form of it that lacks up to most letters.
func shortened(w string, most int, each func(left []byte)) {
	left := append(make([]byte, 0, 3*len(w)), w...)
	each(left)
	leaveOut(left, 0, most, each)
}

// leaveOut calls each with every form of a word that lacks up to most of the letters from the one at from on.
func leaveOut(w []byte, from, most int, each func(left []byte)) {
	if most == 0 || len(w) == 0 {
		return
	}
	left := append(w[len(w):], w[1:]...) // behind the word, in the room that it has
	for i := range w {
		if i > 0 {
			left[i-1] = w[i-1]
		}
		if i >= from {
			each(left)
			leaveOut(left, i, most-1, each)
		}
	}
}

// read is the word that was meant, and its meanings.
func (l *lexicon) read(w string) (string, meaning) {
	w = l.inFull(w)
	if is, ok := l.words[w]; ok {
		return w, is
	}
	for n := len(w); n >= 3; n-- {
		if is, ok := l.stems[w[:n]]; ok {
			return w, is
		}
	}
	if len(w) < shortest-1 || len(w) > l.longest+2 {
		return w, 0
	}
	most := 1
	if len(w) >= long-2 {
		most = 2
	}
	for _, known := range l.slips[string(bones(w))] {
		if known[0] == w[0] {
			return known, l.words[known]
		}
	}
	best, least := "", most+1
	shortened(w, most, func(left []byte) {
		for _, known := range l.slips[string(left)] {
			if !alike(w, known) {
				continue
			}
			if d := spelling.Distance(w, known, most); d < least && d <= l.slipsIn(known, l.words[known]) {
				best, least = known, d
			}
		}
	})
	if best == "" {
		return w, 0
	}
	return best, l.words[best]
}

// alike reports whether a word begins with the first letter of a known one, or with its first two swapped. With
// another first letter it is another word.
func alike(w, known string) bool {
	return w[0] == known[0] || w[0] == known[1] && w[1] == known[0]
}

// bones are the consonants of a word, doubled ones once: vowels and doublings are often misspelt. A short word has
// none.
func bones(w string) []byte {
	b := append(make([]byte, 0, len(w)+1), '\'')
	for i := range len(w) {
		if !strings.ContainsRune("aeiouy", rune(w[i])) && b[len(b)-1] != w[i] {
			b = append(b, w[i])
		}
	}
	if len(b) <= fewestBones {
		return nil
	}
	return b
}
