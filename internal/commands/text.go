package commands

import (
	"regexp"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// textWidth is the longest line of plain text, in characters: a terminal at its usual width, a phone held sideways.
const textWidth = 78

// Text is the card in plain text, for the local room and the transcripts. An untested answer begins with the word
// UNTESTED, so that nobody takes its first line for a tested one.
func (c Card) Text() string { return c.TextIn(textWidth) }

// TextIn is Text in lines of at most width characters.
func (c Card) TextIn(width int) string {
	b := &wrapped{width: width}
	c.head(b)
	c.lists(b)
	for _, w := range c.Warnings {
		b.wrap("  ! ", "    ", w)
	}
	for _, s := range c.Sources {
		b.wrap("  source: ", "    ", s)
	}
	for _, l := range c.Links {
		b.wrap("  ", "    ", l.Label+": "+l.URL)
	}
	for _, name := range c.fileNames() {
		b.WriteString(name + "\n")
	}
	for _, a := range c.Actions {
		if a.Tap {
			continue
		}
		b.wrap("  → ", "    ", a.Label+": "+a.Request.Line())
	}
	for _, caveat := range c.SmallPrint() {
		b.wrap("  – ", "    ", caveat)
	}
	return b.String()
}

// head writes the lines of a card up to its last fact.
func (c Card) head(b *wrapped) {
	title := c.Title
	if c.Untested {
		title = "UNTESTED  " + title
	}
	for _, before := range c.Before {
		b.wrap("", "  ", before)
	}
	b.wrap("", "  ", title)
	if c.Address != "" {
		b.WriteString(clean(c.Address) + "\n") // whole, so that it can be copied
	}
	if c.Verdict != "" {
		b.wrap("", "  ", c.Verdict)
	}
	if !c.Since.IsZero() {
		b.wrap("  ", "    ", "since "+c.Since.Format(time.TimeOnly))
	}
	for _, f := range c.Facts {
		text := f.Text
		if f.Label != "" {
			text = f.Label + ": " + text
		}
		b.wrap("  ", "    ", text)
	}
}

// fileNames are the lines that name the picture and the files of the Card, unwrapped, so that a path can be copied.
func (c Card) fileNames() []string {
	var lines []string
	if c.Picture != nil {
		lines = append(lines, "  picture: "+clean(c.Picture.Name))
	}
	for _, f := range c.Files {
		lines = append(lines, "  file: "+clean(f.Name))
	}
	return lines
}

// wrapped is text in lines of at most width characters.
type wrapped struct {
	strings.Builder
	width int
}

// wrap writes text in lines, the first with one lead, the others with another. A word longer than a line is cut.
func (b *wrapped) wrap(first, rest, text string) {
	line, used := first, utf8.RuneCountInString(first)
	empty := true
	for _, word := range breakUp(clean(text), b.width) {
		n := utf8.RuneCountInString(word)
		if !empty && used+len(" ")+n > b.width {
			b.WriteString(line + "\n")
			line, used, empty = rest, utf8.RuneCountInString(rest), true
		}
		if !empty {
			line, used = line+" ", used+1
		}
		line, used, empty = line+word, used+n, false
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
}

// unitBehind is a number with its unit, or a long number in groups of digits: both stay on one line.
var unitBehind = regexp.MustCompile(`^(?:\d[\d.]* (?:mm|mL|s|°C)|\d{1,3}(?: \d{3}){1,3})[,.;:)]*$`)

// breakUp is the words of a text, cut where one would not fit on a line. A number and its unit, or the groups of a long
// number, are one word. Two blanks in a row are kept, as an empty word.
func breakUp(text string, width int) []string {
	longest := width - len("          ")
	var words []string
	for _, word := range strings.Split(text, " ") {
		if last := len(words) - 1; last >= 0 && unitBehind.MatchString(words[last]+" "+word) {
			words[last] += " " + word
			continue
		}
		runes := []rune(word)
		for len(runes) > longest {
			words = append(words, string(runes[:longest]))
			runes = runes[longest:]
		}
		words = append(words, string(runes))
	}
	return words
}

// clean makes text safe for a terminal: blanks of every kind become a space; control characters and those that turn the
// direction of writing become the replacement character.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == '\u2028', r == '\u2029', r == '\ufeff':
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(text, string(utf8.RuneError)))
}

// maxEcho is how much of an asker's own words is repeated.
const maxEcho = 60

// echo repeats an asker's own words, shortened and in quotation marks.
func echo(text string) string {
	runes := []rune(strings.Join(strings.Fields(clean(text)), " "))
	if len(runes) > maxEcho {
		runes = append(runes[:maxEcho], '…')
	}
	return "“" + string(runes) + "”"
}
