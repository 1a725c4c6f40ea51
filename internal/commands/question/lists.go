package question

import (
	"embed"
	"path"
	"strings"

	"holdbench/internal/wordlist"
)

// The lists of words are data: each file of words/ says what its lists are for. A list is of
// words with blanks between, or of phrases with commas between.
//
//go:embed words/*.txt
var wordFiles embed.FS

var lists = wordlist.Read(wordText(), "\n")

func wordText() (all string) {
	files, _ := wordFiles.ReadDir("words") // embedded: cannot fail
	for _, file := range files {
		text, _ := wordFiles.ReadFile(path.Join("words", file.Name()))
		all += string(text)
	}
	return all
}

// list is the set of words of a list.
func list(name string) map[string]bool { return set(fold(lists.Of(name))) }

// listsOf are the sets of all lists whose name begins with one word, by the rest of it.
func listsOf(first string) map[string]map[string]bool {
	all := make(map[string]map[string]bool)
	for name := range lists {
		if rest, is := strings.CutPrefix(name, first+" "); is {
			all[rest] = list(name)
		}
	}
	return all
}

// set makes a set of the words of a text.
func set(words string) map[string]bool {
	m := make(map[string]bool)
	for _, w := range strings.Fields(words) {
		m[w] = true
	}
	return m
}

// phrase is a run of words with a meaning.
type phrase struct {
	words []string
	means string
}

// phraseBook looks phrases up by their first word, longest first.
type phraseBook map[string][]phrase

// book is the phrases of all lists whose name begins with one word; the rest of the name
// is what they mean.
func book(first string) phraseBook {
	b := make(phraseBook)
	for name, text := range lists {
		means, is := strings.CutPrefix(name, first+" ")
		if !is {
			continue
		}
		for _, p := range strings.FieldsFunc(fold(text), func(r rune) bool { return r == ',' || r == '\n' }) {
			if words := strings.Fields(p); len(words) > 0 {
				b[words[0]] = insertByLength(b[words[0]], phrase{words, means})
			}
		}
	}
	return b
}

// insertByLength keeps the longest phrases first.
func insertByLength(list []phrase, p phrase) []phrase {
	at := len(list)
	for at > 0 && len(list[at-1].words) < len(p.words) {
		at--
	}
	list = append(list, phrase{})
	copy(list[at+1:], list[at:])
	list[at] = p
	return list
}

// phraseAt returns the longest phrase of the book that begins at token i.
func (s *scan) phraseAt(book phraseBook, i int) (means string, end int, ok bool) {
	for _, p := range book[s.word(i)] {
		at, fits := i, true
		for n, want := range p.words {
			if n > 0 && s.isMark(at, "-") && s.roles[at] == free {
				at++
			}
			if s.word(at) != want {
				fits = false
				break
			}
			at++
		}
		if fits {
			return p.means, at, true
		}
	}
	return "", i, false
}
