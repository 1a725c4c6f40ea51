// Package quantity reads numbers, times, volumes, temperatures, strengths, frame rates and days as people type them.
// The whole program reads them here, so that a text means the same wherever it is typed. There is no clock: today is
// an argument.
//
// A text is read whole or not at all. One that can be read in two ways, such as "1,300", is an error that says so.
package quantity

import (
	"fmt"
	"regexp"
	"strings"
)

// Problem says why a text was not read, in words for the person who typed it.
type Problem struct {
	Text    string   // as typed
	Why     string   // a sentence
	Options []string // what it could be, each of which can be read; none if it is no such thing
}

// Error is Why.
func (p *Problem) Error() string { return p.Why }

func problem(text, why string, args ...any) *Problem {
	return &Problem{Text: text, Why: fmt.Sprintf(why, args...)}
}

var withUnit = regexp.MustCompile(`^(` + Decimal + `)\s*(\D*)$`)

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
	if ml, ok := UnitOf(unit).InML(v); ok {
		v = ml
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
	unit = strings.TrimSuffix(strings.TrimSpace(m[2]), ".")
	if unit != "" && !regexp.MustCompile(`^`+units+`$`).MatchString(unit) {
		return 0, "", problem(text, "%s is not %s.", strings.TrimSpace(text), wanted)
	}
	v, err = Number(m[1])
	return v, unit, err
}
