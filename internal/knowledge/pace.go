package knowledge

import "holdbench/internal/calc"

// Why explains the pace of the combination by the full model at the middle gel of
// its estimate, with the bench's milk at that temperature. A calculation: no test
// of the combination enters but through the gel.
//
// Errors: *calc.RangeError for a temperature that milk is not known at, 0 to 30 °C;
// calc.ErrNotConverged.
func (e *Evidence) Why(milk calc.Celsius) (*calc.Pace, error) {
	i := e.Combination.Instrument
	return e.Forecast.Why(calc.PaceQuestion{Hub: i.Hub(), Gauge: i.Gauge, Wall: i.Wall, Milk: milk})
}
