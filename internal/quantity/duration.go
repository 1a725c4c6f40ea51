package quantity

import (
	"math"
	"regexp"
	"strings"
)

// Duration is the pattern of a time with its unit, or as minutes:seconds: 7.13 s,
// 1:12, 1m12s, 1 min 3, a minute and a half, half a minute.
const Duration = `(?:\d{1,3}:[0-5]\d(?:[.,]\d+)?(?:\s*(?:mins?|minutes?))?` +
	`|` + Decimal + `\s*` + MinuteUnit + `(?:\s*(?:and\s*)?` + Decimal + `\s*` + SecondUnit + `?)?` +
	`|(?:(?:a|one)\s+)?(?:half|quarter)(?:\s+of)?\s+(?:a\s+)?min(?:ute)?` +
	`|(?:a|one|two|three)\s+min(?:ute)?s?(?:\s+and\s+a\s+half)?|(?:a\s+)?min(?:ute)?\s+and\s+a\s+half` +
	`|` + Decimal + `\s*` + SecondUnit + `|` + spelledNumber + `(?:\s+point\s+` + spelledDigit + `)?\s*` + SecondUnit + `)`

const (
	spelledDigit  = `(?:zero|one|two|three|four|five|six|seven|eight|nine)`
	spelledTens   = `(?:twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety)`
	spelledNumber = `(?:` + spelledTens + `(?:[- ]` + spelledDigit + `)?|ten|eleven|twelve|thirteen|fourteen|fifteen` +
		`|sixteen|seventeen|eighteen|nineteen|` + spelledDigit + `)`
)

var (
	clock   = regexp.MustCompile(`^(\d{1,3}):([0-5]\d(?:[.,]\d+)?)(?:\s*(?:mins?|minutes?))?$`)
	minutes = regexp.MustCompile(`^(` + Decimal + `)\s*` + MinuteUnit + `(?:\s*(?:and\s*)?(` + Decimal + `)\s*` +
		SecondUnit + `?)?$`)
	seconds   = regexp.MustCompile(`^(` + Decimal + `)\s*` + SecondUnit + `?$`)
	inWords   = regexp.MustCompile(`^(` + spelledNumber + `)(?:\s+point\s+(` + spelledDigit + `))?\s*` + SecondUnit + `?$`)
	minuteAnd = regexp.MustCompile(`^(?:(a|one|two|three)\s+)?min(?:ute)?s?(\s+and\s+a\s+half)?$`)
	partOf    = regexp.MustCompile(`^(?:(?:a|one)\s+)?(half|quarter)(?:\s+of)?\s+(?:a\s+)?min(?:ute)?$`)
)

// Seconds reads a time in any of the ways of Duration, in s; a number alone is seconds.
//
// Errors: *Problem.
func Seconds(text string) (float64, error) {
	plain := strings.TrimSuffix(strings.ToLower(strings.Join(strings.Fields(text), " ")), ".")
	if m := clock.FindStringSubmatch(plain); m != nil {
		return together(m[1], m[2])
	}
	if m := minutes.FindStringSubmatch(plain); m != nil {
		return together(m[1], m[2])
	}
	if m := seconds.FindStringSubmatch(plain); m != nil {
		return Number(m[1])
	}
	if m := inWords.FindStringSubmatch(plain); m != nil {
		whole, _ := Spelled(m[1]) // the pattern was met
		tenths, _ := Spelled(m[2])
		return thousandths(whole + tenths/10), nil
	}
	if m := partOf.FindStringSubmatch(plain); m != nil {
		return map[string]float64{"half": 30, "quarter": 15}[m[1]], nil
	}
	if m := minuteAnd.FindStringSubmatch(plain); m != nil {
		n, counted := Spelled(m[1])
		if !counted {
			n = 1
		}
		if m[2] != "" {
			n += 0.5
		}
		return 60 * n, nil
	}
	return 0, problem(text, "%s is not a time: write it like 7.13 s or 1:12.", strings.TrimSpace(text))
}

// together is the sum of minutes and seconds, s; sec may be empty.
func together(min, sec string) (float64, error) {
	m, err := Number(min)
	if err != nil || sec == "" {
		return thousandths(60 * m), err
	}
	s, err := Number(sec)
	return thousandths(60*m + s), err
}

// thousandths rounds a time to milliseconds, which is finer than any film.
func thousandths(v float64) float64 { return math.Round(v*1000) / 1000 }
