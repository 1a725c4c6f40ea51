package question

import (
	"slices"
	"strings"

	"holdbench/internal/calc"
)

var classBook = book("class")

// ReadClass reads the text of an option that asks for a class of gel. ok is false where it
// is no class that people have a word for.
func ReadClass(text string) (class calc.GelClass, ok bool) {
	means, ok := classBook.whole(text)
	return calc.GelClass(means), ok
}

// ReadWall reads the text of an option that asks for a wall class, where "thin" alone is
// one; "" stands for one that is not known.
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
	words := strings.Fields(strings.ReplaceAll(strings.ToLower(fold(text)), "-", " "))
	if len(words) == 0 {
		return "", false
	}
	for _, p := range b[words[0]] {
		if slices.Equal(p.words, words) {
			return p.means, true
		}
	}
	return "", false
}
