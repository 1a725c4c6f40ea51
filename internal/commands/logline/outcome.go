package logline

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

const (
	stopWords = `\b(?:gave up|given up|giving up|stopped|stop|quit|abandoned|aborted|bailed(?: out)?|ended)\b`
	timeOrNum = `(` + quantity.Duration + `\b|` + quantity.Decimal + `\b)`
	notEnd    = `(?:$|[\s,;.)!?-])`
)

// linking may stand between a none and the time that was watched.
var linking = `(?:[\s,:;(-]|\.\s|\b(?:in|within|after|for|at|by|up to|over|during|watched|waited|watching|waiting|held` +
	`|stopped|gave up|was|were|i|we|it|the|first|whole|full|all|about|back|and|even|=|` + lists.Of("before a time") +
	`)\b|p\x{e5}\s)*`

var (
	untilTime = regexp.MustCompile(noneWords + `[\s,]*(?:seen\s*)?(?:until|till|til|before|then|at first` +
		`|but)\s*(?:at\s*)?` + timeOrNum)
	// a cross before a time is a none, or the sign for "times"
	crossed    = regexp.MustCompile(`(?:^|[\s,;])x\s+(` + quantity.Duration + `)` + notEnd)
	watchedFor = regexp.MustCompile(`\b(?:watched|waited|watching|watch|waiting|filmed for)\b\s*(?:for|to` +
		`|up to|=|:)?\s*` + timeOrNum + notEnd)
	rangeOf = regexp.MustCompile(`(?:^` +
		`|[\s,;(])(` + quantity.Decimal + `)\s*(?:` + quantity.SecondUnit + `)?\s*(?:-|/|to|or|and` +
		`|&)[\s,]*(` + quantity.Decimal + `)\s*` + quantity.SecondUnit + `\b`)
	betweenOf = regexp.MustCompile(`\bbetween\s+(` + quantity.Decimal + `)\s*` + quantity.SecondUnit +
		`?\s*(?:and|to|or|-|&)\s*(` + quantity.Decimal + `)(?:\s*` + quantity.SecondUnit + `)?\b`)
	spreadOf = regexp.MustCompile(`(` + quantity.Decimal + `)\s*` + quantity.SecondUnit + `?\s*\(?\s*(?:\+/-|\+-` +
		`|plus or minus|give or take)\s*` + quantity.Decimal + `\s*` + quantity.SecondUnit + `?\s*\)?`)
	bound = regexp.MustCompile(`(?:[<>]=?\s*|\b(?:sub|less than|under|below|more than|over|above|at least` +
		`|at most|up to)\s+)(` + quantity.Decimal + `)\s*` + quantity.SecondUnit + `?\b` +
		`|(` + quantity.Decimal + `)\s*` + quantity.SecondUnit + `?\+`)
	vague = regexp.MustCompile(`(~|[❌✗✖🚫⛔🤷]` +
		`|\b(?:maybe|perhaps|probably|i think|i guess|or so|not sure|unsure|estimated?)\b)`)
	// these are vague only before a number
	vagueNear = regexp.MustCompile(`\b(about|approx(?:imately)?\.?|roughly|around|ca\.?|circa|nearly|almost)\s+` +
		`(?:at\s+|an?\s+)?(?:[.,]?\d|[a-z]+(?:[- ][a-z]+)?\s+` + quantity.SecondUnit + `\b|min)`)
	ish     = regexp.MustCompile(`\d(\s?-?ish)\b`)
	flashed = regexp.MustCompile(`(?:^|[\s,;:(=@])(?:(?:flash(?:ed|[ -]?back(?:ed)?)?|fb|blood|came|showed` +
		`|seen)\s*)?(?:at|after|in|by)?\s*(` + quantity.Duration + `)` + notEnd)
	bareFlash = regexp.MustCompile(`\b(?:flash(?:ed|[ -]?back(?:ed)?)?|fb|blood|came|showed|seen|result|time)\b\s*` +
		`(?:at|after|in|was|is|:|=)*\s*(` + quantity.Decimal + `)` + notEnd)
	// decimals before the one that has its unit: "2.1 2.4 1.9 s"
	listed = regexp.MustCompile(`(?:^|[\s,;:(])((?:\d*[.,]\d+(?:\s*[,;]\s+|\s+(?:and\s+)?))+)` + quantity.Decimal +
		`\s*` + quantity.SecondUnit + `\b`)
	notAClock  = regexp.MustCompile(`\b\d{1,3}(?:(?::\d\d){2,}|:[6-9]\d)\b`)
	flashWords = regexp.MustCompile(`\b(?:flash(?:ed|[ -]?back(?:ed)?)?|fb)\b`)
)

// readOutcome finds how the test ended. It asks about what can be read in two ways.
func (r *reader) readOutcome() {
	if m := ish.FindSubmatchIndex(r.plain); m != nil {
		r.take(m[2], m[3])
		r.vague = true
	}
	for _, pattern := range []*regexp.Regexp{vague, vagueNear} {
		for m := pattern.FindSubmatchIndex(r.plain); m != nil; m = pattern.FindSubmatchIndex(r.plain) {
			r.take(m[2], m[3])
			r.vague = true
		}
	}
	r.readListed(3) // of two it is asked which
	r.readOpenTimes()
	for _, pattern := range []*regexp.Regexp{untilTime, crossed} {
		m := pattern.FindSubmatchIndex(r.plain)
		if m == nil {
			continue
		}
		text := r.typed[m[2]:m[3]]
		r.take(m[0], m[3])
		r.askResult(fmt.Sprintf("Did flashback come at %s, or none in that time?", text), text, "none in "+text)
	}
	r.readNone()
	r.readWatched()
	r.readListed(2)
	for m := notAClock.FindIndex(r.plain); m != nil; m = notAClock.FindIndex(r.plain) {
		r.askWhat(r.take(m[0], m[1]))
	}
	for m := flashed.FindSubmatchIndex(r.plain); m != nil; m = flashed.FindSubmatchIndex(r.plain) {
		text := r.typed[m[2]:m[3]]
		r.take(m[0], m[3])
		if v, err := quantity.Seconds(text); err == nil && v > latest && strings.Contains(text, ":") &&
			(len(r.Outcomes) > 0 || v > trade.LongestWatchS) {
			r.askWhat(text) // more likely a time of day
			continue
		}
		r.addFlashback(text)
	}
	for m := bareFlash.FindSubmatchIndex(r.plain); m != nil; m = bareFlash.FindSubmatchIndex(r.plain) {
		r.addFlashback(r.typed[m[2]:m[3]])
		r.take(m[0], m[3])
	}
	for m := flashWords.FindIndex(r.plain); m != nil; m = flashWords.FindIndex(r.plain) {
		r.take(m[0], m[1])
	}
}

// readListed reads the times before the one that has their unit, if there are at least so many with it.
func (r *reader) readListed(least int) {
	m := listed.FindSubmatchIndex(r.plain)
	if m == nil || len(decimalIn.FindAllString(r.typed[m[2]:m[3]], -1))+1 < least {
		return
	}
	for _, n := range decimalIn.FindAllString(r.take(m[2], m[3]), -1) {
		r.addFlashback(n)
	}
}

// readOpenTimes asks about ranges, bounds and spreads: none of them is a time that was read off.
func (r *reader) readOpenTimes() {
	for _, pattern := range []*regexp.Regexp{betweenOf, rangeOf} {
		if m := pattern.FindSubmatchIndex(r.plain); m != nil {
			a, b := group(r.typed, m, 1)+" s", group(r.typed, m, 2)+" s"
			text := strings.TrimLeft(r.take(m[0], m[1]), " ,;(")
			r.askResult(text+" is two times. Which was it?", a, b)
		}
	}
	for _, pattern := range []*regexp.Regexp{spreadOf, bound} {
		m := pattern.FindSubmatchIndex(r.plain)
		if m == nil {
			continue
		}
		value := group(r.typed, m, 1)
		if value == "" && len(m) > 4 {
			value = group(r.typed, m, 2)
		}
		text := r.take(m[0], m[1])
		r.askResult(text+" is no time that was read off. Which was it?", value+" s", "none in "+value+" s")
	}
}

// rangeStart is the pattern of two numbers that a unit may follow.
const rangeStart = `\b(` + quantity.Decimal + `)\s*(?:-|to|or|and)\s*(` + quantity.Decimal + `)`

// askWhich asks which of two values in a unit it was.
func (r *reader) askWhich(m []int, kind, unit string) {
	a, b := group(r.typed, m, 1)+" "+unit, group(r.typed, m, 2)+" "+unit
	text := r.take(m[0], m[1])
	r.ask(Question{Text: strings.Trim(text, " ,;") + " is two values. Which was it?", kind: kind,
		Answers: offered(a, b)})
}

func (r *reader) askResult(text string, answers ...string) {
	r.ask(Question{Text: text, kind: askResult, Answers: offered(answers...)})
}

func (r *reader) readWatched() {
	if m := watchedFor.FindSubmatchIndex(r.plain); m != nil {
		r.watchS = r.seconds(r.typed[m[2]:m[3]])
		r.take(m[0], m[3])
	}
}

// otherUnit reports whether a unit that is no time's follows the number that ends here.
func (r *reader) otherUnit(end int) bool {
	rest := strings.TrimLeft(string(r.plain[end:]), " ")
	for _, unit := range []string{"ml", "cc", "mm", "%", "g ", "gauge", "fps", "c ", "°"} {
		if strings.HasPrefix(rest+" ", unit) {
			return true
		}
	}
	return false
}

// seconds reads a time that a pattern has found, s. It asks about one that can be read in two ways.
func (r *reader) seconds(text string) float64 {
	v, err := quantity.Seconds(text)
	var p *quantity.Problem
	if errors.As(err, &p) {
		possible := slices.DeleteFunc(p.Options, func(o string) bool { return number(o) > trade.LongestWatchS })
		r.askResult(p.Why+" How many seconds?", possible...)
	}
	return v
}

func (r *reader) addFlashback(text string) {
	asked := len(r.open)
	if v := r.seconds(text); len(r.open) == asked {
		r.Outcomes = append(r.Outcomes, Outcome{Flashback: true, Seconds: v, Typed: asTyped(text, v)})
	}
}

var plainSeconds = regexp.MustCompile(`^(` + quantity.Decimal + `)\s*` + quantity.SecondUnit + `?\.?$`)

// asTyped is a time in the digits that were typed, if these are plain seconds.
func asTyped(text string, v float64) string {
	if m := plainSeconds.FindStringSubmatch(strings.ToLower(strings.TrimSpace(text))); m != nil {
		return m[1]
	}
	return trade.Number(v)
}
