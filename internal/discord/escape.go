package discord

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// length counts as Discord does at the most: in UTF-16 units.
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

// tidy makes a text one line of characters that can be seen: blanks of every
// kind become a space; what steers a display or turns the direction of writing
// goes.
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

// markdown is what Discord reads as a sign of its own anywhere in a line.
const markdown = "\\*_~`|[]<>"

// escape writes a text so that Discord shows it as it is: no signs of its own,
// no links but those we mean, at most so many characters. What is too long ends
// in a dot-dot-dot.
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
		// Room is kept for the dots unless this is the end.
		if used+n > most-1 && (rest != "" || used+n > most) {
			return strings.TrimRight(b.String(), " ") + "…"
		}
		b.WriteString(piece)
		used += n
	}
	return b.String()
}

// plain is escape for places where Discord knows no signs: footers, labels of
// buttons, options, fields.
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

// inShort is plain for names on buttons and in lists: what is too long loses its
// middle, for gels are told apart by their beginning and needles by their end.
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
