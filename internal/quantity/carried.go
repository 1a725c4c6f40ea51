package quantity

import "math"

// Carried rounds a measured time, s, to what its timing can tell: whole seconds, halves, tenths, hundredths or
// thousandths, the coarsest of them that is not above within, which is how far the time may be off, s. A time by
// taps, off by 0.5 s, is given in halves; one by stopwatch, off by 0.3 s, in tenths; one from a film of 30 frames a
// second in hundredths.
func Carried(seconds, within float64) float64 {
	for _, perSecond := range []float64{1, 2, 10, 100} {
		if 1/perSecond <= within {
			return math.Round(seconds*perSecond) / perSecond
		}
	}
	return thousandths(seconds)
}
