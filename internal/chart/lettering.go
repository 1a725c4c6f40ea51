package chart

import (
	"sort"
	"strings"
	"sync"

	stdfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"gonum.org/v1/plot/vg"
)

// letter is the size, weight and colour of a piece of text.
type letter struct {
	size   float64 // pixels
	bold   bool
	colour hue
}

// in returns the letter in another colour.
func (l letter) in(c hue) letter { l.colour = c; return l }

// sized returns the letter in another size.
func (l letter) sized(size float64) letter { l.size = size; return l }

// fonts holds the Liberation faces. It is filled once and then only read.
var fonts = sync.OnceValue(func() *font.Cache { return font.NewCache(liberation.Collection()) })

// face returns the font face of the letter.
func (l letter) face() font.Face {
	f := font.Font{Variant: "Sans"}
	if l.bold {
		f.Weight = stdfont.WeightBold
	}
	return fonts().Lookup(f, vg.Length(l.size))
}

// width returns how wide a text is, in pixels.
func (l letter) width(text string) float64 {
	face := l.face()
	return float64(face.Width(text))
}

// fit shortens a text until it is no wider than that, with a … for what was left out.
func (l letter) fit(text string, width float64) string {
	if l.width(text) <= width {
		return text
	}
	runes := []rune(text)
	tooWide := sort.Search(len(runes)-1, func(n int) bool { return l.width(shortened(runes, n+1)) > width })
	return shortened(runes, tooWide)
}

func shortened(runes []rune, n int) string {
	return strings.TrimRight(string(runes[:n]), " ,") + "…"
}

// wrap breaks a text into at most so many lines of that width. The last is shortened where the text
// is too long.
func (l letter) wrap(text string, width float64, most int) []string {
	var lines []string
	words := strings.Fields(text)
	for len(words) > 0 && len(lines) < most-1 {
		n := 1
		for n < len(words) && l.width(strings.Join(words[:n+1], " ")) <= width {
			n++
		}
		line := strings.Join(words[:n], " ")
		if l.width(line) > width { // one word, wider than the line
			head, tail := l.broken(line, width)
			lines = append(lines, head)
			words[0] = tail
			continue
		}
		lines = append(lines, line)
		words = words[n:]
	}
	if len(words) > 0 {
		lines = append(lines, l.fit(strings.Join(words, " "), width))
	}
	return lines
}

// ends puts a text on two lines. Where it is too long its end is kept and its middle left out, for
// the names of one maker differ at the end.
func (l letter) ends(text string, width float64) []string {
	lines := l.wrap(text, width, 2)
	if len(lines) < 2 || !strings.HasSuffix(lines[1], "…") || strings.HasSuffix(text, "…") {
		return lines
	}
	tail := []rune(text)
	for len(tail) > 1 && l.width("…"+string(tail)) > width {
		tail = tail[1:]
	}
	lines[1] = "…" + strings.TrimLeft(string(tail), " ,")
	return lines
}

// broken splits a word that is wider than the line into what fits and the rest.
func (l letter) broken(word string, width float64) (head, tail string) {
	runes := []rune(word)
	n := 1
	for n < len(runes)-1 && l.width(string(runes[:n+1])) <= width {
		n++
	}
	return string(runes[:n]), string(runes[n:])
}
