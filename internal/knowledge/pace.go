package knowledge

import "holdbench/internal/calc"

// Why explains the pace of the combination by the full model, with the median gel of its
// estimate and the bench's milk at that temperature. It is a calculation: tests enter only
// through the gel.
//
// Errors: *calc.RangeError for a milk temperature outside 0 to 30 °C; calc.ErrNotConverged.
func (e *Evidence) Why(milk calc.Celsius) (*calc.Pace, error) {
	i := e.Combination.Instrument
	return e.Forecast.Why(calc.PaceQuestion{Hub: i.Hub(), Gauge: i.Gauge, Wall: i.Wall, Milk: milk})
}
