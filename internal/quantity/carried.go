package quantity

import "math"

// Carried is a time that was measured, in seconds, to the last digit that its way of
// timing carries: whole seconds, halves, tenths, hundredths or thousandths, the
// coarsest of them that is no coarser than how far the time can be off. A time by
// taps that can be off by 0.5 s is told in halves; a stopwatch, 0.3 s, in tenths; a
// film of 30 frames a second in hundredths.
func Carried(seconds, within float64) float64 {
	for _, perSecond := range []float64{1, 2, 10, 100} {
		if 1/perSecond <= within {
			return math.Round(seconds*perSecond) / perSecond
		}
	}
	return thousandths(seconds)
}
