package trade

import (
	"strings"
	"unicode"
)

// Visible returns a text without the characters that are not drawn. It leaves those in that
// CheckCharacters refuses everywhere. U+115F, U+1160, U+3164 and U+FFA0 are letters by Unicode's
// properties, and blank; U+2800 is a blank sign.
func Visible(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Bidi_Control, r) {
			return r
		}
		if unicode.In(r, unicode.Cf, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector) ||
			strings.ContainsRune("\u115f\u1160\u3164\uffa0\u2800", r) {
			return -1
		}
		return r
	}, text)
}

// CheckDrawn refuses a name with characters that are not drawn: two names could differ by them alone.
func CheckDrawn(field, name string) error {
	if Visible(name) != name {
		return Refuse(field, "has a character that cannot be seen; please type it again")
	}
	return nil
}
