package patientdata

import (
	_ "embed"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"holdbench/internal/spelling"
	"holdbench/internal/wordlist"
)

// words finds one of many words where it begins in a text. \b knows Latin letters
// alone, and a pattern of hundreds of words is slow: most texts have no word that
// begins like any of them, and the pattern is not tried.
type words struct {
	begin   *beginnings
	pattern *regexp.Regexp
}

//go:embed words.txt
var wordText string

// lists are the tables of words by their names, alternatives of a pattern.
var lists = wordlist.Read(wordText, "|")

// atWord matches the words of a table where they begin, with the pattern after behind.
func atWord(table, after string) words {
	alternatives := foldWords(table)
	return words{beginningsOf(alternatives, ""), regexp.MustCompile(`(?:^|[^\pL\pN])(?:` + alternatives + `)` + after)}
}

// wholeWord is atWord for words of their own; after comes behind the space.
func wholeWord(table, after string) words {
	alternatives := foldWords(table)
	return words{beginningsOf(alternatives, " "),
		regexp.MustCompile(`(?:^|[^\pL\pN])(?:` + alternatives + `)(?:$|[^\pL\pN])` + after)}
}

// wordBehind matches the words of a table behind a pattern, with the pattern after at their end.
func wordBehind(before, table, after string) words {
	alternatives := foldWords(table)
	return words{beginningsOf(alternatives, " "),
		regexp.MustCompile(`(?:^|[^\pL\pN])` + foldWords(before) + `(?:` + alternatives + `)` + after)}
}

// foldWords folds a table of words.
func foldWords(table string) string {
	return strings.NewReplacer(`\pl`, `\pL`, `\pn`, `\pN`).Replace(spelling.Plain(table))
}

// in reports whether a form of the text has one of the words.
func (w words) in(t reading, form string) bool {
	return w.mayBeIn(t) && w.pattern.MatchString(form)
}

func (w words) mayBeIn(t reading) bool { return w.begin.areIn(t.begins) }

// beginningsOf are the first letters of alternatives, as far as they are plain. end is
// what follows a word that is shorter, "" for anything.
func beginningsOf(alternatives, end string) *beginnings {
	begin := new(beginnings)
	depth, start, escaped := 0, 0, false
	for i, r := range alternatives + "|" {
		switch {
		case escaped:
			escaped = false
		case r == '\\':
			escaped = true
		case r == '(' || r == '[':
			depth++
		case r == ')' || r == ']':
			depth--
		case r == '|' && depth == 0:
			plain := plainBeginning(alternatives[start:i])
			if plain == alternatives[start:i] && utf8.RuneCountInString(plain) < beginLength {
				plain += end
			}
			begin.add(beginningOf(plain))
			start = i + 1
		}
	}
	return begin
}

// plainBeginning is what every text has that a pattern matches, at most
// beginLength letters of it.
func plainBeginning(pattern string) string {
	var plain []rune
	escaped := false
	for _, r := range pattern {
		switch {
		case escaped && !unicode.IsPunct(r):
			return string(plain[:min(len(plain), beginLength)])
		case escaped:
			plain, escaped = append(plain, r), false
		case r == '\\':
			escaped = true
		case r == '?' || r == '*':
			plain = plain[:len(plain)-1]
			return string(plain[:min(len(plain), beginLength)])
		case strings.ContainsRune("([{+.", r):
			return string(plain[:min(len(plain), beginLength)])
		default:
			plain = append(plain, r)
		}
	}
	return string(plain[:min(len(plain), beginLength)])
}
