package quantity

import (
	_ "embed"
	"strings"

	"holdbench/internal/wordlist"
)

// Unit is what follows a number.
type Unit uint8

// The units. Other stands for any that measures nothing of a set-up.
const (
	NoUnit Unit = iota
	Gauge
	MM
	Metre // "13 m": a slip for mm right behind a gauge
	Mil   // "13 mil": mm or mL, by its size
	CM
	Inch
	ML
	Microlitre
	Insulin // U-100: 100 units are 1 mL
	Second
	Minute
	Other // a count, an age, a price
)

//go:embed units.txt
var unitsText string

var unitWords = readUnits(map[string]Unit{
	"gauge": Gauge, "mm": MM, "metre": Metre, "mil": Mil, "cm": CM, "inch": Inch, "ml": ML, "microlitre": Microlitre,
	"insulin": Insulin, "second": Second, "minute": Minute, "other": Other,
})

// readUnits reads the lists of words, each by its unit.
func readUnits(units map[string]Unit) map[string]Unit {
	all := make(map[string]Unit)
	for unit, line := range wordlist.Lines(unitsText) {
		for _, w := range strings.Fields(line) {
			all[w] = units[unit]
		}
	}
	return all
}

// UnitOf returns the unit that a word of lower case names, NoUnit for none.
func UnitOf(word string) Unit { return unitWords[word] }

// InML is v of a unit in mL; ok is false for a unit that is not one of volume.
func (u Unit) InML(v float64) (ml float64, ok bool) {
	switch u {
	case ML:
		return v, true
	case Microlitre:
		return v / 1000, true
	case Insulin:
		return v / 100, true
	}
	return 0, false
}
