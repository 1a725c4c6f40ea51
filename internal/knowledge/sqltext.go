package knowledge

import "strings"

// sqlPart is a piece of SQL that is looked at as one: a word or number, a quoted
// text, a comment, blanks, or a single sign.
type sqlPart struct {
	kind sqlKind
	text string
}

type sqlKind int

const (
	sqlWord sqlKind = iota
	sqlQuoted
	sqlComment
	sqlBlank
	sqlSign
)

// is reports whether the part is that word or sign, letter case ignored.
func (p sqlPart) is(text string) bool {
	return (p.kind == sqlWord || p.kind == sqlSign) && strings.EqualFold(p.text, text)
}

// sqlParts takes SQL apart. Joined again they are the text.
func sqlParts(text string) (parts []sqlPart) {
	for at := 0; at < len(text); {
		kind, n := sqlNext(text[at:])
		parts = append(parts, sqlPart{kind, text[at : at+n]})
		at += n
	}
	return parts
}

// sqlNext is the kind and the length of the first part of a text that is not empty.
// What is begun and not ended goes on to the end.
func sqlNext(text string) (kind sqlKind, n int) {
	switch c := text[0]; {
	case c == '\'' || c == '"':
		return sqlQuoted, quotedLength(text)
	case strings.HasPrefix(text, "--"):
		return sqlComment, through(text, "\n")
	case strings.HasPrefix(text, "/*"):
		return sqlComment, through(text, "*/")
	case isBlank(c):
		return sqlBlank, lengthOf(text, isBlank)
	case isWord(c):
		return sqlWord, lengthOf(text, isWord)
	}
	return sqlSign, 1
}

func isBlank(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

func isWord(c byte) bool {
	return c == '_' || c >= 0x80 || '0' <= c && c <= '9' || 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z'
}

func lengthOf(text string, of func(byte) bool) int {
	for i := range len(text) {
		if !of(text[i]) {
			return i
		}
	}
	return len(text)
}

func through(text, end string) int {
	if i := strings.Index(text, end); i >= 0 {
		return i + len(end)
	}
	return len(text)
}

// quotedLength is how far a quoted text goes; its quotation mark twice is one in it.
func quotedLength(text string) int {
	for i := 1; i < len(text); i++ {
		if text[i] != text[0] {
			continue
		}
		if i+1 < len(text) && text[i+1] == text[0] {
			i++
			continue
		}
		return i + 1
	}
	return len(text)
}
