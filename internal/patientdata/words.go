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

// words finds one of many words in a text. A pattern of hundreds of words is slow, so it is tried only on a text with
// a word that begins like one of them. \b cannot be used in it: it knows Latin letters only.
type words struct {
	begin   *beginnings
	pattern *regexp.Regexp
}

//go:embed words.txt
var wordText string

// lists are the tables of words by their names, alternatives of a pattern.
var lists = wordlist.Read(wordText, "|")

// atWord matches what begins with a word of a table, with the pattern after behind it.
func atWord(table, after string) words {
	alternatives := foldWords(table)
	return words{beginningsOf(alternatives, ""), regexp.MustCompile(`(?:^|[^\pL\pN])(?:` + alternatives + `)` + after)}
}

// wholeWord matches whole words of a table, with the pattern after behind the space.
func wholeWord(table, after string) words {
	alternatives := foldWords(table)
	return words{beginningsOf(alternatives, " "),
		regexp.MustCompile(`(?:^|[^\pL\pN])(?:` + alternatives + `)(?:$|[^\pL\pN])` + after)}
}

// wordBehind matches the words of a table between two patterns.
func wordBehind(before, table, after string) words {
	alternatives := foldWords(table)
	return words{beginningsOf(alternatives, " "),
		regexp.MustCompile(`(?:^|[^\pL\pN])` + foldWords(before) + `(?:` + alternatives + `)` + after)}
}

// foldWords is a table of words in small letters without accents.
func foldWords(table string) string {
	return strings.NewReplacer(`\pl`, `\pL`, `\pn`, `\pN`).Replace(spelling.Plain(table))
}

// in reports whether a form of the text has one of the words.
func (w words) in(t reading, form string) bool {
	return w.mayBeIn(t) && w.pattern.MatchString(form)
}

func (w words) mayBeIn(t reading) bool { return w.begin.areIn(t.begins) }

// beginningsOf are the first letters of alternatives, as far as they are plain. end follows a word that is shorter,
// "" is anything.
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

// plainBeginning are the first letters, at most beginLength, of every text that a pattern matches.
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
