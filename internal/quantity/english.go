package quantity

import (
	_ "embed"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"holdbench/internal/spelling"
	"holdbench/internal/wordlist"
)

//go:embed english.txt
var englishText string

// englishOf has the English for words of other languages; foreignWord finds one of them.
var englishOf, foreignWord = readEnglish()

func readEnglish() (map[string]string, *regexp.Regexp) {
	english, patterns := make(map[string]string), []string{}
	for meaning, line := range wordlist.Lines(englishText) {
		for word := range strings.SplitSeq(line, ", ") {
			english[plainWords(word)] = meaning
			pattern := regexp.QuoteMeta(word)
			if plainWords(word) != meaning { // "vidéo" without its accent is English
				pattern = accentsOptional(word)
			}
			patterns = append(patterns, pattern)
		}
	}
	slices.SortFunc(patterns, func(a, b string) int { return len(b) - len(a) }) // "lait entier" before "lait"
	return english, regexp.MustCompile(`(?i)(?:^|[^\pL\pN])(` + strings.Join(patterns, "|") + `)(?:$|[^\pL\pN])`)
}

// InEnglish finds the first word of another language for a bench liquid, a way of timing, a day or a "none" in a
// text. It returns where it stands and its English, "" for none.
func InEnglish(text string) (from, to int, english string) {
	m := foreignWord.FindStringSubmatchIndex(text)
	if m == nil {
		return 0, 0, ""
	}
	return m[2], m[3], englishOf[plainWords(text[m[2]:m[3]])]
}

// plainWords are words in small letters without accents, one space apart.
func plainWords(text string) string {
	return strings.Join(strings.Fields(spelling.Plain(strings.ReplaceAll(text, "-", " "))), " ")
}

// accentsOptional is the pattern of a word whose accents may be left out.
func accentsOptional(word string) string {
	var b strings.Builder
	for _, r := range word {
		base := norm.NFD.String(string(r))
		switch {
		case r == ' ':
			b.WriteString(`[\s-]+`)
		case base != string(r):
			b.WriteString("(?:" + string(r) + "|" + base + "|" + base[:1] + ")")
		default:
			b.WriteString(regexp.QuoteMeta(string(r)))
		}
	}
	return b.String()
}
