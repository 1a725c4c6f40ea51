package calc

// Statistic is an estimate with its limits and the number of tests behind it. Every statistic of
// this package is one, so that no number travels without them.
type Statistic struct {
	Value     float64
	Low, High float64 // confidence limits; High is +Inf where the data set none
	N         int     // tests taken into account
	Events    int     // of them, how many showed
}

// newStatistic makes every Statistic. A limit that rounding has put on the wrong side of the
// estimate is moved onto it.
func newStatistic(value, low, high float64, n, events int) Statistic {
	return Statistic{Value: value, Low: min(low, value), High: max(high, value), N: n, Events: events}
}

// checkConfidence returns a *RangeError unless the confidence is one that
// limits can be worked out for.
func checkConfidence(confidence float64) error {
	return within("confidence", confidence, 0.5, 0.9999, "0.5 to 0.9999")
}
