package question

import (
	"strings"

	"holdbench/internal/calc"
)

var classBook = book("class")

// ReadClass reads the value of an option that takes a class of gel. ok is false for a text that names none.
func ReadClass(text string) (class calc.GelClass, ok bool) {
	means, ok := classBook.whole(text)
	return calc.GelClass(means), ok
}

// ReadWall reads the value of an option that takes a wall class, where "thin" alone is one. wall is "" for "unknown".
func ReadWall(text string) (wall calc.WallClass, ok bool) {
	if class, is := ReadClass(text); is && class == calc.UnknownGel {
		return "", true
	}
	for _, as := range []string{text, text + " wall"} {
		switch means, ok := wallBook.whole(as); {
		case ok && means == unrecordedWall:
			return "", true
		case ok:
			return calc.WallClass(means), true
		}
	}
	return "", false
}

// whole looks up the phrase that a text is.
func (b phraseBook) whole(text string) (means string, ok bool) {
	words := strings.Fields(strings.ReplaceAll(plainLine(text), "-", " "))
	if len(words) == 0 {
		return "", false
	}
	if p := b.longest(words); len(p.words) == len(words) {
		return p.means, true
	}
	return "", false
}
