package question

import "strings"

var correctionBook = book("opens")

// ReadCorrection returns a text without the words that open a correction: "sorry, I meant 2.54" is "2.54". is is false
// for a text that does not open with any.
func ReadCorrection(text string) (rest string, is bool) {
	words := strings.Fields(text)
	var plain []string
	for _, w := range words {
		plain = append(plain, strings.Trim(plainLine(w), ",.:;!-"))
	}
	for from := 0; from < len(words); {
		opens := correctionBook.longest(plain[from:])
		if opens.words == nil {
			return strings.Join(words[from:], " "), from > 0
		}
		from += len(opens.words)
	}
	return "", false
}
