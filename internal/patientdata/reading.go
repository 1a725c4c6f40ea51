package patientdata

import (
	"regexp"
	"strings"
	"unicode"

	"holdbench/internal/spelling"
)

// reading is a text in the forms that the rules look at.
type reading struct {
	plain      string // digits as 0–9, marks in one form, letters as written
	folded     string // plain, in small letters without accents
	unnumbered string // folded, without the numbers of things
	rest       string // unnumbered, without full dates

	begins  []beginning // of the words of folded
	digits  int
	runs    int // of digits
	longest int // of those
}

func read(text string) reading {
	t := reading{plain: plainMarks(text)}
	t.folded = spelling.Plain(t.plain)
	t.begins = begins(t.folded)
	t.countDigits()
	t.unnumbered = t.withoutThings(t.folded)
	t.rest = t.withoutThings(t.withoutDates(t.folded))
	return t
}

// countDigits counts the digits and their runs: most texts have too few for a rule to apply.
func (t *reading) countDigits() {
	run := 0
	for _, r := range t.folded {
		if r < '0' || r > '9' {
			run = 0
			continue
		}
		if run++; run == 1 {
			t.runs++
		}
		t.digits++
		t.longest = max(t.longest, run)
	}
}

// plainMarks writes the digits of every script as 0–9, and marks that stand for plain ones as those. Letters keep
// their case, which shows initials.
func plainMarks(text string) string {
	if isASCII(text) {
		return strings.ReplaceAll(text, "\n", " ")
	}
	return marks.Replace(strings.Map(func(r rune) rune {
		switch {
		case r > unicode.MaxASCII && unicode.IsDigit(r):
			return '0' + spelling.DigitValue(r)
		case unicode.Is(unicode.Cf, r): // invisible: may stand between two digits
			return -1
		case r == '\n':
			return ' '
		}
		return r
	}, text))
}

func isASCII(text string) bool {
	return strings.IndexFunc(text, func(r rune) bool { return r > unicode.MaxASCII }) < 0
}

// marks are other forms of a mark, and the one that the rules know.
var marks = strings.NewReplacer("＠", "@", "．", ".", "－", "-", "‐", "-", "‑", "-", "–", "-", "—", "-", "−", "-",
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "’", "'", "№", "no ", "：", ":", "／", "/")

var (
	// thing is a number of a thing, not of a person, with its word.
	thing = atWord(lists.Of("things"), `(?:[ .:#_()°º-]|no|nr|num|number|nummer|numero|'su|files?|id|n)*`+
		`(?:[a-z]{0,3}\d[\da-z._/-]*)(?:(?: ?(?:-|to|and|,|bis|a|à|и) ?)\d[\da-z._-]*)*`)
	// marked is the code on a device, as in (01)04012345678901(17)270301.
	marked  = regexp.MustCompile(`\(01\)\d{14}(?:\(\d\d\)[\da-z]+)*`)
	counted = wholeWord(lists.Of("counted things"), `[ .:#]*\d{1,6}(?:$|\D)`)
)

func (t reading) withoutThings(text string) string {
	if t.digits == 0 {
		return text
	}
	if strings.Contains(text, "(01)") {
		text = marked.ReplaceAllString(text, " · ")
	}
	for _, numbered := range [...]words{thing, counted} {
		if numbered.mayBeIn(t) {
			text = numbered.pattern.ReplaceAllString(text, " · ")
		}
	}
	return text
}
