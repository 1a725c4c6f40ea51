package question

import (
	"slices"
	"strings"
)

var correctionBook = book("opens")

// ReadCorrection gives back what a text says behind the words that open a correction:
// "sorry, I meant 2.54" is "2.54". is is false for a text that does not open so.
func ReadCorrection(text string) (rest string, is bool) {
	words := strings.Fields(text)
	var plain []string
	for _, w := range words {
		plain = append(plain, strings.Trim(strings.ToLower(fold(w)), ",.:;!-"))
	}
	for from := 0; from < len(words); {
		at := slices.IndexFunc(correctionBook[plain[from]], func(p phrase) bool {
			return from+len(p.words) <= len(words) && slices.Equal(plain[from:from+len(p.words)], p.words)
		})
		if at < 0 {
			return strings.Join(words[from:], " "), from > 0
		}
		from += len(correctionBook[plain[from]][at].words)
	}
	return "", false
}
