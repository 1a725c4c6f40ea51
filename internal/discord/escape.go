package discord

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// length is in UTF-16 units, the largest count that Discord may use.
func length(text string) int {
	n := 0
	for _, r := range text {
		n++
		if r > 0xFFFF {
			n++
		}
	}
	return n
}

// tidy makes a text one line of visible characters. White space of every kind becomes a space; control characters and
// those that change the direction of writing are removed.
func tidy(text string) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r), unicode.Is(unicode.Zl, r), unicode.Is(unicode.Zp, r):
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == '\ufeff', r == utf8.RuneError:
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, ""))
	return strings.Join(strings.Fields(text), " ")
}

// markdown has the characters that format text anywhere in a line.
const markdown = "\\*_~`|[]<>"

// escape escapes a text so that Discord shows it as it is, without formatting or links. A text of more than most
// characters is cut, and ends in an ellipsis.
func escape(text string, most int) string {
	text = tidy(text)
	var b strings.Builder
	used, rest := 0, text
	for rest != "" {
		r, size := utf8.DecodeRuneInString(rest)
		piece := rest[:size]
		rest = rest[size:]
		if strings.ContainsRune(markdown, r) || b.Len() == 0 && strings.ContainsRune("#-+", r) ||
			r == ':' && strings.HasPrefix(rest, "//") {
			piece = `\` + piece
		}
		n := length(piece)
		// Keep room for the ellipsis unless this is the end.
		if used+n > most-1 && (rest != "" || used+n > most) {
			return strings.TrimRight(b.String(), " ") + "…"
		}
		b.WriteString(piece)
		used += n
	}
	return b.String()
}

// plain is escape for places without formatting: footers, labels of buttons, options, fields.
func plain(text string, most int) string {
	text = tidy(text)
	if length(text) <= most {
		return text
	}
	var b strings.Builder
	used := 0
	for _, r := range text {
		n := length(string(r))
		if used+n > most-1 {
			break
		}
		b.WriteRune(r)
		used += n
	}
	return strings.TrimRight(b.String(), " ") + "…"
}

// inShort is plain for names on buttons and in lists. A text that is too long loses its middle, because gels differ at
// the beginning and needles at the end.
func inShort(text string, most int) string {
	text = tidy(text)
	if length(text) <= most {
		return text
	}
	end := []rune{}
	for _, r := range slices.Backward([]rune(text)) {
		if length(string(r))+length(string(end)) > most/2 {
			break
		}
		end = append([]rune{r}, end...)
	}
	return plain(text, most-length(string(end))) + string(end)
}
