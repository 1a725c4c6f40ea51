package chart

import (
	"bytes"
	"fmt"
	"image/png"
	"strings"
	"unicode"
	"unicode/utf8"

	"holdbench/internal/calc"
)

// Picture is one finished picture.
type Picture struct {
	PNG []byte
	Alt string // what a sighted person learns from it; at most mostAlt characters
}

// mostAlt is the longest alternative text that chat platforms take, in characters.
const mostAlt = 1024

// finish turns a drawn sheet into a picture.
func (s *sheet) finish(alt string) (Picture, error) {
	img, err := s.paletted()
	if err != nil {
		return Picture{}, err
	}
	var b bytes.Buffer
	// Fast rather than small: a picture of flat areas stays far under a chat's
	// limit either way.
	encoder := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := encoder.Encode(&b, img); err != nil {
		return Picture{}, fmt.Errorf("encode picture: %w", err)
	}
	return Picture{PNG: b.Bytes(), Alt: cut(alt, mostAlt)}, nil
}

// cut shortens a text to so many characters, at a word where it can.
func cut(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	short := string([]rune(text)[:most-1])
	if at := strings.LastIndex(short, " "); at > len(short)/2 {
		short = short[:at]
	}
	return strings.TrimRight(short, " ,;") + "…"
}

// longestName is the number of characters of a name that are looked at: more than fit anywhere.
const longestName = 200

// tidy makes one line of a name, without line breaks and control characters and no longer than
// longestName.
func tidy(name string) string {
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == utf8.RuneError {
			return ' '
		}
		return r
	}, name)
	return cut(strings.Join(strings.Fields(name), " "), longestName)
}

// inRange returns a *calc.RangeError unless low ≤ v ≤ high.
func inRange(name string, v, low, high float64) error {
	if !(v >= low && v <= high) {
		return &calc.RangeError{Name: name, Value: v, Want: fmt.Sprintf("%g to %g", low, high)}
	}
	return nil
}

// pages shares a number of rows or columns out over pages, as evenly as can be.
type pages struct{ all, count int }

// newPages returns as few pages as there can be with at most so many items each, at least one.
func newPages(all, most int) pages {
	return pages{all: all, count: max(1, (all+most-1)/most)}
}

// span returns the first item of a page and the one after its last, pages counted from 0.
func (p pages) span(page int) (from, to int) {
	return page * p.all / p.count, (page + 1) * p.all / p.count
}

// checkPage returns a *calc.RangeError unless there is such a page, counted from 1.
func checkPage(page, count int) error {
	if page < 1 || page > count {
		return &calc.RangeError{Name: "page", Value: float64(page), Want: fmt.Sprintf("1 to %d", count)}
	}
	return nil
}
