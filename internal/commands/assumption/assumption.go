// Package assumption reads a member's own assumption about how many placements have the tip in a vessel, typed alone
// or as part of a question.
package assumption

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"holdbench/internal/quantity"
	"holdbench/internal/say"
)

// Assumption is the share of placements whose tip is in a vessel, as a member assumes it. The program never suggests
// one.
type Assumption struct {
	Share float64
	Said  string // as it was typed, in one form: "1 in 200", "0.5 %"
}

// Words is the assumption as typed. A percentage has its chance behind it, because answers give chances.
func (a Assumption) Words() string {
	if strings.HasSuffix(a.Said, "%") {
		return a.Said + ", " + say.Chance(a.Share)
	}
	return a.Said
}

// The smallest and the largest share that an assumption may have (chosen, no source).
const (
	leastAssumed = 1e-6
	mostAssumed  = 0.9
)

// How an assumption is typed: a ratio, 1 in 200 or 1:200, or a percentage.
const (
	numberTyped = `(\d{1,3}(?:[ ,']\d{3})+|\d+(?:[.,]\d+)?|[.,]\d+)`
	largeTyped  = `(\d{1,3}(?:[ ,']\d{3})+|\d+` +
		`|(?:(?:a|one|two|three|four|five|ten|twenty|thirty|forty|fifty) )?(?:hundred )?(?:hundred|thousand|million)` +
		`|twenty|thirty|forty|fifty)`
	ofWhat = `(?: (?:of )?(?:my |our |all |the )?(?:placements?|injections?|insertions?|punctures?|passes|times)\b)?` +
		`(?: (?:are |is |has |have )?(?:the tip )?(?:in|inside) a vessel\b)?`
)

var (
	ratioTyped = regexp.MustCompile(`(?:` + numberTyped + `|\b(one)) ?-?(\bin\b|\bout of\b|\bof\b|\bper\b|:|/)-? ?` +
		`(?:every |each )?` + largeTyped + ofWhat)
	percentTyped = regexp.MustCompile(numberTyped + ` ?(?:%|percent\b|per cent\b|pct\b)` + ofWhat)
	leadTyped    = regexp.MustCompile(`(?:^|[ ,;])` +
		`(?:(?:if|i|we|assume|assuming|assumed|say|at|about|around|roughly|with|ca\.?|~|maybe) ?)+$`)
)

// Problem is why a text is no assumption, and what can be written instead.
type Problem struct{ What, Hint string }

// Error is both sentences.
func (p *Problem) Error() string { return p.What + " " + p.Hint }

func refuse(hint, what string, args ...any) error { return &Problem{fmt.Sprintf(what, args...), hint} }

// longestQuoted is how many characters of a text are repeated.
const longestQuoted = 60

func quoted(text string) string {
	runes := []rune(plainWords(text))
	if len(runes) > longestQuoted {
		runes = append(runes[:longestQuoted], '…')
	}
	return "“" + string(runes) + "”"
}

const howToWrite = "Write it as 1 in 200, or as 0.5 %."

// Read reads a text that is an assumption and nothing else.
//
// Errors: *Problem that says how to write it.
func Read(text string) (Assumption, error) {
	plain := strings.TrimRight(plainWords(text), ".,;?!")
	for _, pattern := range []*regexp.Regexp{ratioTyped, percentTyped} {
		if m := pattern.FindStringSubmatchIndex(plain); m != nil && m[1] == len(plain) &&
			(m[0] == 0 || leadTyped.MatchString(plain[:m[0]])) && onlyBefore(plain[:m[0]]) {
			return assumed(submatches(plain, m))
		}
	}
	return Assumption{}, refuse(howToWrite, "The assumption cannot be %s.", quoted(text))
}

// onlyBefore reports whether a text is nothing but words such as "about".
func onlyBefore(text string) bool { return text == "" || leadTyped.FindString(text) == text }

// Cut takes the assumption out of a text that says other things too, and returns the rest; found is false if there is
// none. It leaves sizes, dilutions, times and strengths of drugs in the text.
//
// Errors: *Problem for two assumptions, or one out of range.
func Cut(text string) (a Assumption, rest string, found bool, err error) {
	plain := plainWords(text)
	spans := assumptionSpans(plain)
	for _, m := range spans {
		one, err := assumed(submatches(plain, m))
		if err != nil {
			return Assumption{}, text, false, err
		}
		if found && one.Share != a.Share {
			return Assumption{}, text, false, refuse("Ask once for each.", "Two assumptions are named: %s and %s.",
				a.Said, one.Said)
		}
		a, found = one, true
	}
	for i := len(spans) - 1; i >= 0; i-- {
		from, to := spans[i][0], spans[i][1]
		if lead := leadTyped.FindStringIndex(plain[:from]); lead != nil {
			from = lead[0]
		}
		plain = plain[:from] + " " + plain[to:]
	}
	if !found {
		return Assumption{}, text, false, nil
	}
	return a, strings.Trim(strings.Join(strings.Fields(plain), " "), " ,;"), true, nil
}

// assumptionSpans finds what may be an assumption: ratios, or else percentages.
func assumptionSpans(plain string) [][]int {
	for _, pattern := range []*regexp.Regexp{ratioTyped, percentTyped} {
		var spans [][]int
		for _, m := range pattern.FindAllStringSubmatchIndex(plain, -1) {
			if standsAlone(plain, m) && (pattern == percentTyped || isRatio(plain, m)) {
				spans = append(spans, m)
			}
		}
		if len(spans) > 0 {
			return spans
		}
	}
	return nil
}

// What follows a number that is no assumption's, and what may follow an assumption.
var (
	unitFollows = regexp.MustCompile(`^ ?(?:g|ga|gauge|mm|cm|ml|cc|s|secs?|seconds?|min|minutes?|inch|x|"|”|°)` +
		`(?:[^a-z]|$)|^[.,:/]?\d`)
	mayFollow    = regexp.MustCompile(`^ ?(?:$|[,.;?!)]|assumed\b|for\b|on\b|with\b|and\b)`)
	followsDigit = regexp.MustCompile(`(?:[\d./:-]|\d,)$`)
)

// standsAlone reports whether a match is not part of another quantity.
func standsAlone(plain string, m []int) bool {
	after := plain[m[1]:]
	if followsDigit.MatchString(plain[:m[0]]) || unitFollows.MatchString(after) {
		return false
	}
	ofPlacements := strings.HasSuffix(plain[m[0]:m[1]], "s") || strings.HasSuffix(plain[m[0]:m[1]], "vessel")
	return len(m) > 4 || ofPlacements || mayFollow.MatchString(after)
}

// smallestRatio is the smallest lower number of an assumption with a colon or a stroke. 1:50 may be a dilution, part
// of an inch, a date or a time of day.
const smallestRatio = 60

// isRatio reports whether a ratio is an assumption, by the word or mark in its middle.
func isRatio(plain string, m []int) bool {
	words := submatches(plain, m)
	switch large := largeNumber(words[4]); words[3] {
	case ":", "/":
		return words[1] == "1" && large >= smallestRatio
	case "of":
		return strings.Contains(plain[m[0]:m[1]], "placement") || strings.HasSuffix(plain[:m[1]], "vessel")
	}
	return true
}

// assumed is the assumption that a match says.
func assumed(m []string) (Assumption, error) {
	var a Assumption
	if len(m) == 2 {
		percent, err := quantity.Number(m[1])
		if err != nil {
			return a, refuse("Write decimals with a point.", "%s can be read in two ways.", quoted(m[0]))
		}
		a = Assumption{percent / 100, say.Number(percent) + " %"}
	} else {
		above, err := 1.0, error(nil)
		if m[1] != "" {
			above, err = quantity.Number(m[1])
		}
		of := largeNumber(m[4])
		if err != nil || !(of > 0) {
			return a, refuse(howToWrite, "The assumption cannot be %s.", quoted(m[0]))
		}
		a = Assumption{above / of, say.Number(above) + " in " + say.Grouped(int(of))}
	}
	if !(a.Share >= leastAssumed && a.Share <= mostAssumed) {
		return a, refuse("It can be anything from 1 in 1 000 000 to 90 in 100.", "The assumption cannot be %s.",
			quoted(m[0]))
	}
	return a, nil
}

// multiples are what a number in words may be multiplied by.
var multiples = map[string]float64{"hundred": 100, "thousand": 1e3, "million": 1e6}

// mostTyped is the largest lower number of a ratio that is read.
const mostTyped = 1e9

// largeNumber is the lower number of a ratio, in digits or in words; 0 if it is larger than mostTyped.
func largeNumber(typed string) float64 {
	value := 1.0
	for _, word := range strings.Fields(typed) {
		n, spelled := quantity.Spelled(word)
		if multiple := multiples[word]; multiple > 0 {
			n, spelled = multiple, true
		}
		if !spelled {
			digits := strings.NewReplacer(" ", "", ",", "", "'", "").Replace(typed)
			n, err := strconv.ParseFloat(digits, 64)
			if err != nil || n > mostTyped {
				return 0
			}
			return n
		}
		value *= n
	}
	return value
}

// plainWords is a text in small letters with single blanks.
func plainWords(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(strings.ToValidUTF8(text, "?")), unicode.IsSpace), " ")
}

// submatches is a match and its groups.
func submatches(text string, at []int) []string {
	parts := make([]string, len(at)/2)
	for i := range parts {
		if at[2*i] >= 0 {
			parts[i] = text[at[2*i]:at[2*i+1]]
		}
	}
	return parts
}
