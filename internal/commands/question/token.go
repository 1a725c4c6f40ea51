package question

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"holdbench/internal/quantity"
)

// tokenType is what a token is made of.
type tokenType uint8

const (
	word   tokenType = iota // letters, lower case, apostrophes left out
	number                  // digits, with at most one decimal point
	mark                    // one character of punctuation
)

// token is one word, number or mark.
type token struct {
	is    tokenType
	text  string  // lower case
	raw   string  // as typed, for saying what could not be read
	value float64 // of a number
	glued bool    // nothing stands between it and the token before
	flaw  bool    // the number cannot be read, or in two ways: 1e5, 1.2.3, 1,300
}

// tokensOf splits a text into tokens; ok is false for one that is too long for a question.
func tokensOf(text string) (toks []token, ok bool) {
	if len(text) > MaxBytes {
		return nil, false
	}
	toks = tokenize(fold(stripMarkup(text)))
	return toks, len(toks) <= maxTokens
}

// tokenize splits a folded text.
func tokenize(s string) []token {
	toks := make([]token, 0, 24)
	glued := false
	for i := 0; i < len(s); {
		r, width := utf8.DecodeRuneInString(s[i:])
		var t token
		var n int
		switch {
		case r == ' ':
			glued = false
			i += width
			continue
		case unicode.IsLetter(r):
			t, n = scanWord(s[i:])
		case isDigit(s[i]) || startsDecimal(s, i):
			t, n = scanNumber(s[i:])
		default:
			t, n = token{is: mark, text: string(r), raw: string(r)}, width
		}
		t.glued = glued
		toks = append(toks, t)
		glued = true
		i += n
	}
	return toks
}

var letters = regexp.MustCompile(`^\p{L}+(?:'\p{L}+)*`)

// scanWord reads letters. It drops the apostrophe of "don't", since a loose "t" would look like the start of "t
// fine", and the whole ending of a possessive.
func scanWord(s string) (token, int) {
	run := letters.FindString(s)
	raw := run
	if end := len(run) - len("'s"); end > 0 && strings.EqualFold(run[end:], "'s") {
		raw = run[:end]
	}
	raw = strings.ReplaceAll(raw, "'", "")
	return token{is: word, text: strings.ToLower(raw), raw: raw}, len(run)
}

// startsDecimal reports whether a decimal without its zero starts at i: ".5", but not the full stop of "30g.13mm".
func startsDecimal(s string, i int) bool {
	if s[i] != '.' || i+1 >= len(s) || !isDigit(s[i+1]) {
		return false
	}
	return i == 0 || !isASCIILetter(s[i-1]) || s[i-1]|0x20 == 'x'
}

// scanNumber reads a number as quantity.Lead does.
func scanNumber(s string) (token, int) {
	v, end, err := quantity.Lead(s)
	return token{is: number, text: s[:end], raw: s[:end], value: v, flaw: err != nil}, end
}
