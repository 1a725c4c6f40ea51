package calc

// Statistic is an estimate with what it stands on. Every statistic of this
// package is one, so that no number travels without its n and its limits.
type Statistic struct {
	Value     float64
	Low, High float64 // confidence limits; High is +Inf where the data set none
	N         int     // tests taken into account
	Events    int     // of them, how many showed
}

// newStatistic is the one place where a Statistic is made. Limits that rounding
// has put on the wrong side of the estimate are moved onto it.
func newStatistic(value, low, high float64, n, events int) Statistic {
	return Statistic{Value: value, Low: min(low, value), High: max(high, value), N: n, Events: events}
}

// checkConfidence returns a *RangeError unless the confidence is one that
// limits can be worked out for.
func checkConfidence(confidence float64) error {
	if !(confidence >= 0.5) || confidence > 0.9999 {
		return &RangeError{Name: "confidence", Value: confidence, Want: "0.5 to 0.9999"}
	}
	return nil
}
