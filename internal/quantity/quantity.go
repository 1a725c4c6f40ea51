// Package quantity reads what people type for a number, a time, a volume, a
// temperature, a strength, a frame rate or a day: one reader for the whole program,
// so that the same text means the same wherever it is typed. It knows no clock:
// today is handed in.
//
// A text is read whole or not at all. What could be read in two ways is an error
// that says so; "1,300" is one of them.
package quantity

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Problem says why a text was not read, in words for whoever typed it.
type Problem struct {
	Text    string   // as typed
	Why     string   // a sentence
	Options []string // what it could be, each readable; none if it is no such thing
}

// Error is the sentence.
func (p *Problem) Error() string { return p.Why }

func problem(text, why string, args ...any) *Problem {
	return &Problem{Text: text, Why: fmt.Sprintf(why, args...)}
}

// Decimal is the pattern of a number as it is typed: 7, 7.13, 7,13, .9.
const Decimal = `(?:\d+(?:[.,]\d+)?|[.,]\d+)`

var (
	wholeNumber = regexp.MustCompile(`^` + Decimal + `$`)
	withUnit    = regexp.MustCompile(`^(` + Decimal + `)\s*(\D*)$`)
)

// Number reads a plain decimal number. A comma is a decimal comma unless three
// digits follow it and a digit other than nought leads: then it may part thousands.
//
// Errors: *Problem.
func Number(text string) (float64, error) {
	plain := strings.TrimSpace(text)
	if !wholeNumber.MatchString(plain) || len(plain) > 20 {
		return 0, problem(text, "%s is not a number.", plain)
	}
	lead, decimals, comma := strings.Cut(plain, ",")
	if comma && len(decimals) == 3 && strings.Trim(lead, "0") != "" {
		p := problem(text, "%s can be read in two ways.", plain)
		p.Options = []string{lead + "." + decimals, lead + decimals}
		return 0, p
	}
	v, err := strconv.ParseFloat(strings.Replace(plain, ",", ".", 1), 64)
	if err != nil {
		return 0, problem(text, "%s is not a number.", plain)
	}
	return v, nil
}

// Units in the ways they are typed, as patterns.
const (
	SecondUnit = `(?:s|secs?|seconds?|sek)`
	MinuteUnit = `(?:m|mins?|minutes?)`
	VolumeUnit = `(?:mls?|ccs?|cm3|millilit(?:re|er)s?|ul|µl|microlit(?:re|er)s?)`
	DegreeUnit = `(?:(?:°|º|degrees?|degs?)?\s*(?:c|celsius|centigrade)|°|º|degrees?|degs?)`
	RateUnit   = `(?:fps|hz|frames?\s*(?:/|a|per)\s*s(?:ec(?:ond)?)?)`
)

// Volume reads a volume in mL; a number alone is one. "0,2 cc", "50 µl".
//
// Errors: *Problem.
func Volume(text string) (float64, error) {
	v, unit, err := inUnit(text, VolumeUnit, "a volume, like 0.1 mL")
	if strings.HasPrefix(unit, "u") || strings.HasPrefix(unit, "µ") || strings.HasPrefix(unit, "micro") {
		v /= 1000
	}
	return v, err
}

// Temperature reads °C; a number alone is one.
//
// Errors: *Problem.
func Temperature(text string) (float64, error) {
	v, _, err := inUnit(text, DegreeUnit, "a temperature, like 20 °C")
	return v, err
}

// Percent reads a share of a hundred; a number alone is one.
//
// Errors: *Problem.
func Percent(text string) (float64, error) {
	v, _, err := inUnit(text, `(?:%|percent|per cent)`, "a strength, like 40 %")
	return v, err
}

// inUnit reads a number with one of the units, or with none.
func inUnit(text, units, wanted string) (v float64, unit string, err error) {
	m := withUnit.FindStringSubmatch(strings.ToLower(strings.TrimSpace(text)))
	if m == nil {
		return 0, "", problem(text, "%s is not %s.", strings.TrimSpace(text), wanted)
	}
	unit = strings.TrimSpace(m[2])
	if unit != "" && !regexp.MustCompile(`^`+units+`\.?$`).MatchString(unit) {
		return 0, "", problem(text, "%s is not %s.", strings.TrimSpace(text), wanted)
	}
	v, err = Number(m[1])
	return v, unit, err
}

// Timing is how a test was timed.
type Timing struct {
	Stopwatch bool
	FPS       float64 // frames a second of a film; 0 for a stopwatch
}

var timedBy = regexp.MustCompile(`^(?:(?:video|film|filmed|slow[- ]?mo(?:tion)?|camera|phone` +
	`|iphone)?,?\s*(?:at|@)?\s*)(` + Decimal + `)\s*` + RateUnit + `?(?:\s*(?:video|film|slow[- ]?mo(?:tion)?))?$`)

// ReadTiming reads "stopwatch", "60fps", "video 30 fps", "slow-mo 240". A number
// without its unit is frames a second behind a word for film only.
//
// Errors: *Problem.
func ReadTiming(text string) (Timing, error) {
	plain := strings.ToLower(strings.Join(strings.Fields(text), " "))
	switch plain {
	case "stopwatch", "stop watch", "stop-watch", "by stopwatch", "timer", "watch", "by hand":
		return Timing{Stopwatch: true}, nil
	}
	m := timedBy.FindStringSubmatch(plain)
	if m == nil || wholeNumber.MatchString(plain) {
		return Timing{}, problem(text, "%s is no way of timing: write stopwatch, or a film's frames a second, like 60 fps.", plain)
	}
	v, err := Number(m[1])
	return Timing{FPS: v}, err
}
