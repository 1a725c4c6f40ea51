package question

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// form is what a token is made of.
type form uint8

const (
	word   form = iota // letters, lower case, apostrophes left out
	number             // digits, with at most one decimal point
	mark               // one character of punctuation
)

// token is one word, number or mark.
type token struct {
	form  form
	text  string  // lower case
	raw   string  // as typed, for saying what could not be read
	value float64 // of a number
	glued bool    // nothing stands between it and the token before
	flaw  bool    // a number no one would type: 1e5, 1.2.3
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
			t, n = token{form: mark, text: string(r), raw: string(r)}, width
		}
		t.glued = glued
		toks = append(toks, t)
		if len(toks) > maxTokens {
			return toks // already too many: Read refuses it
		}
		glued = true
		i += n
	}
	return toks
}

// scanWord reads letters. An apostrophe inside is dropped ("don't" → dont), so
// that no loose "t" is left over to look like the start of "t fine"; the
// possessive ending is dropped whole.
func scanWord(s string) (token, int) {
	var b strings.Builder
	i := 0
	for i < len(s) {
		r, width := utf8.DecodeRuneInString(s[i:])
		if unicode.IsLetter(r) {
			b.WriteRune(r)
			i += width
			continue
		}
		if r != '\'' || i+1 >= len(s) {
			break
		}
		next, nextWidth := utf8.DecodeRuneInString(s[i+1:])
		if !unicode.IsLetter(next) {
			break
		}
		after, _ := utf8.DecodeRuneInString(s[i+1+nextWidth:])
		if (next == 's' || next == 'S') && !unicode.IsLetter(after) {
			i += 1 + nextWidth
			break
		}
		i++
	}
	raw := b.String()
	return token{form: word, text: strings.ToLower(raw), raw: raw}, i
}

// startsDecimal reports whether a number without its nought starts at i: ".5",
// but not the full stop of "30g.13mm".
func startsDecimal(s string, i int) bool {
	if s[i] != '.' || i+1 >= len(s) || !isDigit(s[i+1]) {
		return false
	}
	return i == 0 || !isASCIILetter(s[i-1]) || s[i-1]|0x20 == 'x'
}

// scanNumber reads digits with one decimal point or comma. A comma before
// exactly three digits parts thousands, as in 1,300, unless a nought leads.
func scanNumber(s string) (token, int) {
	i := digits(s, 0)
	text := s[:i]
	if i+1 < len(s) && (s[i] == '.' || s[i] == ',') && isDigit(s[i+1]) {
		end := digits(s, i+1)
		if s[i] == ',' && end-i == 4 && text != "0" {
			text += s[i+1 : end]
		} else {
			text += "." + s[i+1:end]
		}
		i = end
	}
	t := token{form: number, text: text}
	for i+1 < len(s) && s[i] == '.' && isDigit(s[i+1]) { // 1.2.3: a date or a version
		i, t.flaw = digits(s, i+1), true
	}
	if n := exponent(s[i:]); n > 0 {
		i, t.flaw = i+n, true
	}
	t.raw = s[:i]
	t.value, _ = strconv.ParseFloat(text, 64) // an overflow gives +Inf, which no range admits
	if math.IsInf(t.value, 0) {
		t.flaw = true
	}
	return t, i
}

// digits returns the end of the run of digits that starts at i.
func digits(s string, i int) int {
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return i
}

// exponent returns the length of an exponent ("e5", "e-3") at the start of s.
func exponent(s string) int {
	if len(s) < 2 || s[0]|0x20 != 'e' {
		return 0
	}
	i := 1
	if s[1] == '+' || s[1] == '-' {
		i = 2
	}
	if end := digits(s, i); end > i {
		return end
	}
	return 0
}
