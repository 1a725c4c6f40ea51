package question

import (
	"embed"
	"path"
	"slices"
	"strings"

	"holdbench/internal/wordlist"
)

// The files of words/ say what their lists are for. A list has words with blanks between them, or phrases with commas.
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

// listsOf are the lists whose names begin with one word, by the rest of the name.
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

// phraseBook has phrases by their first word, the longest first.
type phraseBook map[string][]phrase

// book has the phrases of the lists whose names begin with one word. They mean the rest of the name.
func book(first string) phraseBook {
	b := make(phraseBook)
	for name, text := range lists {
		means, is := strings.CutPrefix(name, first+" ")
		if !is {
			continue
		}
		for _, p := range strings.FieldsFunc(fold(text), func(r rune) bool { return r == ',' || r == '\n' }) {
			if words := strings.Fields(p); len(words) > 0 {
				b[words[0]] = append(b[words[0]], phrase{words, means})
			}
		}
	}
	for _, phrases := range b {
		slices.SortFunc(phrases, func(p, q phrase) int { return len(q.words) - len(p.words) })
	}
	return b
}

// longest is the longest phrase of the book that some words begin with, an empty one for none.
func (b phraseBook) longest(words []string) phrase {
	for _, p := range b[words[0]] {
		if len(p.words) <= len(words) && slices.Equal(p.words, words[:len(p.words)]) {
			return p
		}
	}
	return phrase{}
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
