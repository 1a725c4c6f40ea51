package trade

import (
	"cmp"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// LongestName is the longest name, in characters: long enough for any box, short
// enough for a button.
const LongestName = 80

// Fold returns the key by which names are compared: letter case, spacing and different encodings of
// the same character do not make two names.
func Fold(name string) string {
	key := strings.ToLower(norm.NFKC.String(name))
	return strings.Join(strings.Fields(key), "")
}

// Tidy trims a text and makes every run of spaces one.
func Tidy(text string) string { return strings.Join(strings.Fields(text), " ") }

// CheckText refuses text that is missing, too long, or not plain text.
func CheckText(field, text string, most int) error {
	switch {
	case !utf8.ValidString(text):
		return Refuse(field, "is not readable text (UTF-8)")
	case strings.TrimSpace(text) == "":
		return Refuse(field, "is missing")
	case utf8.RuneCountInString(text) > most:
		return Refuse(field, "is longer than %d characters", most)
	}
	return CheckCharacters(field, text)
}

// CheckName is CheckText for a name that people choose: it must be visible as well, and must not look
// like patient data.
func CheckName(field, text string, most int) error {
	return cmp.Or(CheckText(field, text, most), CheckDrawn(field, text), RefusePatientData(field, text))
}

// CheckCharacters refuses control characters, line breaks, and the marks that turn the direction of
// writing. None of them belongs in a name or a note, and they can make one line of a file look like
// another.
func CheckCharacters(field, text string) error {
	for _, r := range text {
		if unicode.IsControl(r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) ||
			unicode.Is(unicode.Bidi_Control, r) || r == '\uFEFF' || r == utf8.RuneError {
			return Refuse(field, "has a control character or a line break")
		}
	}
	return nil
}
