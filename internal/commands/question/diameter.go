package question

import "holdbench/internal/quantity"

// outerDiameters are the outer diameters by which needles are sold where gauges are not
// common, mm, with their gauges.
//
// Source: ISO 9626:2016, table 1, designated metric sizes; from memory.
var outerDiameters = map[float64]int{
	0.18: 34, 0.2: 33, 0.23: 32, 0.25: 31, 0.3: 30, 0.33: 29, 0.36: 28, 0.4: 27, 0.45: 26, 0.5: 25, 0.55: 24, 0.6: 23,
	0.7: 22,
}

// IsDiameterOf reports whether mm is the outer diameter of a gauge.
func IsDiameterOf(mm float64, gauge int) bool { return gauge > 0 && outerDiameters[mm] == gauge }

// readDiameter reads a as the outer diameter of a tube of length b: "0.3 x 13 mm" is a 30G. Two numbers without a unit
// are that only if the list has such an instrument. The gauge that a diameter stands for counts as said.
func (s *scan) readDiameter(a, b *amount, joint string) bool {
	gauge, known := outerDiameters[a.value]
	bare := a.bare() && b.bare()
	measured := (a.bare() || a.unit == quantity.MM) && isLength(*b) && b.value >= shortestMM
	if !known || joint != "x" || a.fraction || !measured && !(bare && s.ix.listsSize(gauge, b.value)) {
		return false
	}
	if bare {
		b.unit = quantity.MM
	}
	a.unit, a.value = quantity.Gauge, float64(gauge)
	return true
}
