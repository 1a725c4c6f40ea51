package urgent

import (
	"slices"
	"strings"
	"unicode"

	"holdbench/internal/spelling"
)

// token is a word, a phrase, a figure or a mark of a message.
type token struct {
	text  string
	is    meaning
	owner owner // of a sign: what it belongs to

	denies bool // it is a phrase with a "no" in it
}

// heard is a text as tokens.
type heard struct {
	tokens []token
	said   int     // how many of them are not marks
	whole  meaning // the meanings of all of them
	*lexicon
}

// signs writes out what a plus and a minus mean.
var signs = strings.NewReplacer("+ve", " positive ", "-ve", " negative ", "asp +", "asp positive", "ation +",
	"ation positive")

// listen reads a text as tokens.
func (l *lexicon) listen(text string, known []string) heard {
	m := heard{lexicon: l}
	words := append(append([]string{"."}, split(text)...), ".")
	var names [][]string
	for _, name := range known {
		names = append(names, split(name))
	}
	meant := make([]string, len(words))
	is := make([]meaning, len(words))
	for i, w := range words {
		meant[i], is[i] = l.read(w)
	}
	for i := 0; i < len(words); {
		n, t := 1, token{text: meant[i], is: is[i]}
		if of := l.nameAt(words, i, names); of > 0 {
			n, t = of, token{text: "name", is: l.bits["product"]}
		} else if p := l.phraseAt(meant[i:]); p.words != nil {
			n, t = len(p.words), token{text: strings.Join(p.words, " "), is: p.is, denies: p.denies}
		} else if w := strings.TrimLeft(words[i], "0123456789.,"); len(words[i]) > 1 && w != words[i] ||
			words[i] != "" && unicode.IsDigit(rune(words[i][0])) {
			t.is = l.bits["figure"] | l.words[w]
			if w == "" && strings.ContainsAny(words[i], ".,") {
				t.is |= l.bits["time"]
			}
		}
		if t.is&l.bits["mark"] == 0 {
			m.said++
		}
		m.tokens = append(m.tokens, t)
		m.whole |= t.is
		i += n
	}
	m.leaveNames()
	m.own()
	return m
}

// split is a text as words and marks, without links. A figure keeps its decimals and its unit.
func split(text string) (words []string) {
	text = signs.Replace(spelling.Plain(text))
	var b strings.Builder
	for _, part := range strings.Fields(strings.ReplaceAll(text, "\n", " . ")) {
		if strings.Contains(part, "://") {
			continue
		}
		runes := []rune(part)
		for i, r := range runes {
			digit := i+1 < len(runes) && unicode.IsDigit(runes[i+1])
			switch {
			case unicode.IsLetter(r) || unicode.IsDigit(r) || (r == '.' || r == ',') && digit &&
				(i == 0 || unicode.IsDigit(runes[i-1])):
				b.WriteRune(r)
			case strings.ContainsRune(".,!?;:", r) || unicode.Is(unicode.So, r):
				b.WriteString(" " + string(r) + " ")
			case !unicode.Is(unicode.Mn, r):
				b.WriteByte(' ')
			}
		}
		b.WriteByte(' ')
	}
	for _, w := range strings.Fields(b.String()) {
		words = append(words, squeezed(w))
	}
	return words
}

// squeezed writes three or more of a letter as one: "whiiiite" is "white".
func squeezed(w string) string {
	if !tripled(w) {
		return w
	}
	out := make([]byte, 0, len(w))
	for i := 0; i < len(w); i++ {
		run := 1
		for i+run < len(w) && w[i+run] == w[i] {
			run++
		}
		if run < 3 || unicode.IsDigit(rune(w[i])) || w[i] >= 0x80 {
			out = append(out, w[i:i+run]...)
		} else {
			out = append(out, w[i])
		}
		i += run - 1
	}
	return string(out)
}

func tripled(w string) bool {
	for i := 2; i < len(w); i++ {
		if w[i] == w[i-1] && w[i] == w[i-2] {
			return true
		}
	}
	return false
}

// nameAt is how many words of a text a known name takes at i, 0 for none. Each of its longer words may have a slip. A
// name that could be harm as well ("Cold Lip") is a name only if it is the whole text or a size follows.
func (l *lexicon) nameAt(words []string, i int, names [][]string) (n int) {
	for _, name := range names {
		end := i + len(name)
		if len(name) <= n || end >= len(words) || !slices.EqualFunc(name, words[i:end], sameWord) {
			continue
		}
		plain := slices.ContainsFunc(name, func(w string) bool { return l.words[w]&l.bits["telling"] == 0 })
		if plain || i+end == len(words) || unicode.IsDigit(rune(words[end][0])) {
			n = len(name)
		}
	}
	return n
}

func sameWord(a, b string) bool {
	return a == b || len(a) >= shortest && a[0] == b[0] && spelling.Distance(a, b, 1) <= 1
}

// phraseAt is the longest phrase that some words begin with, an empty one for none.
func (l *lexicon) phraseAt(words []string) phrase {
	for _, p := range l.phrases[words[0]] {
		if len(p.words) <= len(words) && slices.Equal(p.words, words[:len(p.words)]) {
			return p
		}
	}
	return phrase{}
}
