package quantity

import (
	_ "embed"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

//go:embed english.txt
var englishText string

// englishOf are words of other languages by what they come down to, and the pattern that finds one of them.
var englishOf, foreignWord = readEnglish()

func readEnglish() (map[string]string, *regexp.Regexp) {
	english, patterns := make(map[string]string), []string{}
	for line := range strings.Lines(englishText) {
		meant, list, _ := strings.Cut(line, ":")
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		for word := range strings.SplitSeq(strings.TrimSpace(list), ", ") {
			english[unaccented(word)] = meant
			pattern := regexp.QuoteMeta(word)
			if unaccented(word) != meant { // "vidéo" without its accent is English
				pattern = accentsOptional(word)
			}
			patterns = append(patterns, pattern)
		}
	}
	slices.SortFunc(patterns, func(a, b string) int { return len(b) - len(a) }) // "lait entier" before "lait"
	return english, regexp.MustCompile(`(?i)(?:^|[^\pL\pN])(` + strings.Join(patterns, "|") + `)(?:$|[^\pL\pN])`)
}

// InEnglish finds the first word of another language that a text has for a bench liquid, a
// way of timing, a day or a none, and returns where it stands and the English words for
// it, which are "" where there is none.
func InEnglish(text string) (from, to int, english string) {
	m := foreignWord.FindStringSubmatchIndex(text)
	if m == nil {
		return 0, 0, ""
	}
	return m[2], m[3], englishOf[unaccented(text[m[2]:m[3]])]
}

// unaccented is a word in small letters without accents, its parts one space apart.
func unaccented(word string) string {
	plain := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return unicode.ToLower(r)
	}, norm.NFD.String(strings.ReplaceAll(word, "-", " ")))
	return strings.Join(strings.Fields(plain), " ")
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
