package question

import (
	"regexp"
	"strings"
	"unicode"

	"holdbench/internal/spelling"
)

// vulgarFractions are the fractions of one character that phones put in.
var vulgarFractions = map[rune]string{
	'½': "1/2", '¼': "1/4", '¾': "3/4", '⅓': "1/3", '⅔': "2/3", '⅕': "1/5", '⅖': "2/5", '⅗': "3/5",
	'⅘': "4/5", '⅙': "1/6", '⅚': "5/6", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8", '⅒': "1/10",
}

// plainForms are characters that stand for plain ones, most of them by their looks.
var plainForms = map[rune]string{
	'“': `"`, '”': `"`, '„': `"`, '‟': `"`, '″': `"`, '‶': `"`, '˝': `"`, '〃': `"`, '＂': `"`, '«': `"`, '»': `"`,
	'‘': "'", '’': "'", '‚': "'", '‛': "'", '′': "'", '‵': "'", '´': "'", 'ʹ': "'", 'ʼ': "'", '＇': "'",
	'‐': "-", '‑': "-", '‒': "-", '–': "-", '−': "-", '﹣': "-", '－': "-", '—': " - ", '―': " - ",
	'×': " x ", '✕': " x ", '✖': " x ", '╳': " x ", '⨯': " x ", '·': ".", '٫': ".", '،': ",", '、': ",", '。': ".",
	'㎜': "mm", '㎝': "cm", '㏄': "cc", '㎖': "ml", '⁄': "/", '∕': "/", '÷': "/", '∶': ":",
	'µ': "u", 'μ': "u", '≈': " ", '~': " ", '_': " ", '`': " ", '|': " ",
	// letters of other alphabets that look like ours
	'а': "a", 'е': "e", 'о': "o", 'р': "p", 'с': "c", 'х': "x", 'у': "y", 'к': "k", 'м': "m", 'т': "t", 'і': "i",
	'ѕ': "s", 'ј': "j",
	'А': "A", 'В': "B", 'Е': "E", 'О': "O", 'Р': "P", 'С': "C", 'Т': "T", 'Х': "X", 'К': "K", 'М': "M", 'Н': "H",
	'І': "I", 'Ѕ': "S",
	'ο': "o", 'Ο': "O", 'ι': "i", 'Ι': "I", 'Τ': "T", 'Μ': "M", 'Ρ': "P",

	'€': "£", '$': "£", '¥': "£", '¢': "£", '₹': "£", '£': "£", '°': " ", '…': ". ", '\t': " ", '\r': " ", '\n': "\n",
}

// fold brings a text to plain characters: straight quotes, one kind of dash, fractions written out, plain letters and
// digits, no accents and nothing invisible. The case of letters stays.
func fold(text string) string {
	var f folder
	for _, r := range text {
		f.add(r)
	}
	return strings.ReplaceAll(multiplied(f.b.String()), "''", `"`)
}

// folder collects the folded text and remembers what came last.
type folder struct {
	b    strings.Builder
	last byte
}

func (f *folder) put(s string) {
	if s == "" {
		return
	}
	f.b.WriteString(s)
	f.last = s[len(s)-1]
}

// add folds one character.
func (f *folder) add(r rune) {
	if fraction, ok := vulgarFractions[r]; ok {
		if isDigit(f.last) {
			f.put(" ") // 1½ is not 11/2
		}
		f.put(fraction)
		return
	}
	if plain, ok := plainForms[r]; ok {
		f.put(plain)
		return
	}
	switch {
	case r > ' ' && r < 0x7f:
		f.put(string(r))
	case unicode.Is(unicode.Cf, r) || unicode.Is(unicode.M, r): // invisible, or an accent on the letter before
	case unicode.Is(unicode.Nd, r):
		f.put(string('0' + spelling.DigitValue(r)))
	case unicode.IsLetter(r):
		f.put(spelling.Unaccented(string(r)))
	default:
		f.put(" ") // control characters, emoji, superscripts, symbols
	}
}

// timesStar is a star between a size and a number.
var timesStar = regexp.MustCompile(`([0-9gGmM])\*([0-9])`)

// multiplied writes a lone star between two numbers as "x", and drops all others: they are marks for bold and italic.
func multiplied(s string) string {
	if strings.Count(s, "*") == 1 {
		s = timesStar.ReplaceAllString(s, "$1 x $2")
	}
	return strings.ReplaceAll(s, "*", " ")
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
