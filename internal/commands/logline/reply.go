package logline

import (
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/quantity"
)

// ordinalPlace is the place of an answer among several: "the second one".
const ordinalPlace = `(?:the\s+)?(?:number\s+|option\s+)?(first|1st|former|second|2nd|third|3rd|last|latter)(?:\s+one)?`

var (
	// said before an answer; "no" only with more behind it, because "no flash" is a result
	beforeReply = regexp.MustCompile(`^(?:no(?:pe)?(?:[,.;]+\s*|\s+(?:it|i|make)\s+|\s+(\d))` +
		`|(?:sorry|oops|well|i mean|i meant|ok(?:ay)?)\b[, ]+|(?:i'?ll|i will) (?:take|go with|have)\s+` +
		`|(?:it|that|this)(?:'?s| is| was)\s+|was\s+|make (?:it|that)\s+|should be\s+|just\s+|only\s+)`)
	behindReply = regexp.MustCompile(`[\s,]*\b(?:please|thanks|thank you|sorry|i think|i mean|of course|mate)$`)
	watchedWord = regexp.MustCompile(`^(?:(?:i|we)\s+)?` +
		`(?:(?:watched|waited|held|stopped|gave up|for|after|at|in|none|nothing)\b[\s,]*)+`)
	ordinal     = regexp.MustCompile(`^` + ordinalPlace + `$`)
	ordinalThen = regexp.MustCompile(`^(` + ordinalPlace + `),?\s+((?:on|with|in|through|but|and)\b.+)$`)
	onlyOne     = regexp.MustCompile(`^(?:(?:only|just)\s+)?(?:the\s+)?(?:one|1)(?:\s+test)?$`)
	allOfThem   = regexp.MustCompile(`^(?:yes,?\s+)?(?:both|all(?:\s+of\s+them|\s+\w+)?` +
		`|(?:\d|two|three|four|five)\s+tests?|separate(?:\s+tests?)?|they are)$`)
)

// meanings are the words that say what kind of value a number is.
var meanings = []struct {
	kind  string
	words *regexp.Regexp
}{
	{askWhat, regexp.MustCompile(`\b(?:notes?|comment|remark|lot|batch|exp\w*|ignore|skip|never ?mind|typo` +
		`|time of day)\b`)},
	{askTemperature, regexp.MustCompile(`\btemp|degree|celsius|centigrade|°|\d\s*c\b`)},
	{askPull, regexp.MustCompile(`\bpull|\bdr[ae]w|\bplunger|\d\s*` + quantity.VolumeUnit + `\b`)},
	{askWatched, regexp.MustCompile(`\bwatch|\bwait`)},
	{askLiquid, regexp.MustCompile(`\bglyc|\bstrength|per ?cent|%|\bliquid|\bmilk\b|\bwater\b`)},
	{askResult, regexp.MustCompile(`\bflash|\bresult|\bseconds?\b|\bsecs?\b|^none\b|` + quantity.Duration)},
}

// kindNamed is the kind of value that a reply says a number is: a day if it says nothing else.
func kindNamed(text string) string {
	for _, m := range meanings {
		if m.words.MatchString(text) {
			return m.kind
		}
	}
	return askDay
}

var (
	lotWord   = regexp.MustCompile(`\b(?:lot|batch)\b`)
	decimalIn = regexp.MustCompile(quantity.Decimal)
	pullReply = regexp.MustCompile(`\b(?:the|a|an|of|pull(?:ed)?|dr[ae]wn?|back|yes)\b`)
)

// PlainReply is a reply without the polite and filling words around it, in lower case.
func PlainReply(text string) string {
	text = strings.ToLower(strings.TrimSpace(strings.TrimRight(plainMarks.Replace(text), " .!")))
	for before := ""; before != text; {
		before = text
		text = strings.TrimSpace(behindReply.ReplaceAllString(beforeReply.ReplaceAllString(text, "$1"), ""))
	}
	return text
}

// Nth is the place among n that a reply names, "the second" or "the last", -1 for none.
func Nth(reply string, n int) int {
	m := ordinal.FindStringSubmatch(PlainReply(reply))
	if m == nil {
		return -1
	}
	place := map[byte]int{'f': 0, '1': 0, 's': 1, '2': 1, 't': 2, '3': 2, 'l': n - 1}[m[1][0]]
	if place >= n {
		return -1
	}
	return place
}

// NthThen is the place among n that a reply begins with, and the rest of it: "the first one on 19mm". The place is -1
// for none.
func NthThen(reply string, n int) (place int, then string) {
	m := ordinalThen.FindStringSubmatch(PlainReply(reply))
	if m == nil {
		return -1, ""
	}
	return Nth(m[1], n), m[3]
}

// sayOf is what the answer says that a reply points at, or the reply itself.
func (q Question) sayOf(text string) string {
	answers := q.Answers
	if q.kind == askSeveral {
		if allOfThem.MatchString(text) {
			return "yes"
		}
		answers = slices.DeleteFunc(slices.Clone(answers), func(a Answer) bool { return !strings.HasSuffix(a.Say, " s") })
	}
	if onlyOne.MatchString(text) && q.kind == askSeveral && len(answers) == 1 {
		return answers[0].Say
	}
	if i := Nth(text, len(answers)); i >= 0 {
		return answers[i].Say
	}
	if yes(text) && (q.kind == askPull && len(answers) == 1 || strings.HasPrefix(q.Text, "Was the test")) {
		return answers[0].Say
	}
	return text
}
