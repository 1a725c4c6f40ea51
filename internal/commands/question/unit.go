package question

import (
	"strings"

	"holdbench/internal/spelling"
)

// unit is what follows a number.
type unit uint8

const (
	noUnit unit = iota
	gaugeUnit
	mmUnit
	metreUnit // "13 m": a slip of mm right after a gauge, else noise
	milUnit   // "13 mil": mm or mL, told by the size
	cmUnit
	inchUnit
	mlUnit
	microlitreUnit
	insulinUnit // U-100: 100 units are 1 mL
	secondUnit
	minuteUnit
	otherUnit // a count, an age, a price: nothing of the set-up
)

// unitWords are the units as people type them, misspelt ones included.
var unitWords = unitTable(map[unit]string{
	gaugeUnit:      "g ga gg gauge gauges gage gages guage guages gague gaug gauged gauage gaige gge gu",
	mmUnit:         "mm mms mmm mn nm millimetre millimetres millimeter millimeters milimetre milimetres milimeter milimeters",
	metreUnit:      "m",
	milUnit:        "mil mill mils mills milli",
	cmUnit:         "cm cms centimetre centimetres centimeter centimeters",
	inchUnit:       "inch inches inchs inche ins in",
	mlUnit:         "ml mls cc ccs millilitre millilitres milliliter milliliters mililitre mililitres mililiter mililiters",
	microlitreUnit: "ul uls microlitre microlitres microliter microliters",
	insulinUnit:    "u iu units unit",
	secondUnit:     "s sec secs second seconds sek seks secound secounds secon secons seconde sceonds",
	minuteUnit:     "min mins minute minutes",
	otherUnit: `yo y yr yrs year years month months week weeks day days hour hours hr hrs h am pm oclock
		mg mgs kg kgs kpa pa mpa torr mmhg hz fps c f deg degree degrees celsius percent pc k
		patient patients pt pts client clients people person member members tester testers test tests times time x
		metre metres meter meters feet foot ft yard yards syringe syringes vial vials box boxes pack packs passes pass points point areas area
		bolus boluses injections sites sides drops droplets pounds quid euros dollars p th st nd rd lots lips cheeks
		minds things reasons questions messages o`,
})

func unitTable(words map[unit]string) map[string]unit {
	m := make(map[string]unit)
	for u, list := range words {
		for _, w := range strings.Fields(list) {
			m[w] = u
		}
	}
	return m
}

// slippedUnits are the long unit words in which a further slip is allowed
// for, since a number stands before them.
var slippedUnits = []string{"gauge", "millimetre", "millimeter", "centimetre", "seconds", "second", "inches", "millilitre", "milliliter"}

// unitOf returns the unit a word names.
func unitOf(w string) (unit, bool) {
	if u, ok := unitWords[w]; ok {
		return u, true
	}
	if len(w) < 5 || isEveryday(w) {
		return noUnit, false
	}
	for _, full := range slippedUnits {
		if spelling.Cost(w, full) <= spelling.Odd {
			return unitWords[full], true
		}
	}
	return noUnit, false
}

// gaugeAhead are the words that may stand before the number of a gauge.
var gaugeAhead = set("g ga gauge gage guage gague")

// splitGlued parts letters that run on from a number into the unit and the
// rest: 30gx13, 13mmneedle, 30gorrick.
func (ix *Index) splitGlued(toks []token) []token {
	var out []token
	for i, t := range toks {
		cut := 0
		if i > 0 && t.form == word && t.glued && toks[i-1].form == number {
			cut = ix.unitPrefix(t.text)
		}
		if cut == 0 || cut >= len(t.raw) {
			if out != nil {
				out = append(out, t)
			}
			continue
		}
		if out == nil {
			out = append(make([]token, 0, len(toks)+4), toks[:i]...)
		}
		head, tail := t, t
		head.text, head.raw = t.text[:cut], t.raw[:cut]
		tail.text, tail.raw = t.text[cut:], t.raw[cut:]
		out = append(out, head, tail)
	}
	if out == nil {
		return toks
	}
	return out
}

// unitPrefix returns the length of the unit a run of letters begins with, or 0
// if the run is a unit as a whole or its rest would be no word known here.
func (ix *Index) unitPrefix(text string) int {
	if _, ok := unitWords[text]; ok {
		return 0
	}
	for _, u := range []string{"gauge", "ga", "g", "mm", "cm", "ml", "cc", "inch", "in", "seconds", "secs", "sec", "s"} {
		rest, ok := strings.CutPrefix(text, u)
		if !ok || rest == "" {
			continue
		}
		if rest == "x" || rest == "by" || len(rest) >= 3 && (isEveryday(rest) || ix.knowsWord(rest)) {
			return len(u)
		}
	}
	return 0
}
