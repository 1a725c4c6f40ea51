package spelling

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// plainLetters are letters that Unicode does not take apart into a plain one and an accent.
var plainLetters = map[rune]string{
	'ø': "o", 'Ø': "O", 'ł': "l", 'Ł': "L", 'đ': "d", 'Đ': "D", 'ð': "d", 'Ð': "D", 'ı': "i",
	'ß': "ss", 'æ': "ae", 'Æ': "Ae", 'œ': "oe", 'Œ': "Oe", 'ς': "σ",
}

// DigitValue is the value of a decimal digit of any script. Unicode has each script's in a row of ten from its zero.
func DigitValue(digit rune) (value rune) {
	for value < 9 && unicode.IsDigit(digit-value-1) {
		value++
	}
	return value
}

// Plain is a text in small letters without accents.
func Plain(text string) string { return Unaccented(strings.ToLower(text)) }

// Unaccented is a text whose letters have no accents, so that a word is known whether or not they were typed. Letters
// of other widths become plain ones; marks, figures and the case of letters stay.
func Unaccented(text string) string {
	if strings.IndexFunc(text, func(r rune) bool { return r > unicode.MaxASCII }) < 0 {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		plain, known := plainLetters[r]
		switch {
		case known:
			b.WriteString(plain)
		case unicode.Is(unicode.Mn, r): // an accent typed by itself
		case r > unicode.MaxASCII && unicode.IsLetter(r):
			b.WriteString(strings.Map(func(part rune) rune {
				if unicode.Is(unicode.Mn, part) {
					return -1
				}
				return part
			}, norm.NFKD.String(string(r))))
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
