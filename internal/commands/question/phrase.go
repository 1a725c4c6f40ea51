package question

import "strings"

// phrase is a run of words with a meaning.
type phrase struct {
	words []string
	means string
}

// phraseBook looks phrases up by their first word, longest first.
type phraseBook map[string][]phrase

// newPhraseBook builds a book from "meaning: phrase, phrase" lines; longer
// phrases must stand before their own beginnings.
func newPhraseBook(lines ...string) phraseBook {
	book := make(phraseBook)
	for _, line := range lines {
		means, list, _ := strings.Cut(line, ":")
		for _, p := range strings.Split(list, ",") {
			words := strings.Fields(p)
			book[words[0]] = insertByLength(book[words[0]], phrase{words, means})
		}
	}
	return book
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
