package calc

import "fmt"

// Statistic is an estimate with what it stands on. Every statistic of this
// package is one, so that no number travels without its n and its limits.
type Statistic struct {
	Value      float64
	Low, High  float64  // confidence limits; High is +Inf where the data set none
	Confidence float64  // of the interval from Low to High
	N          int      // tests taken into account
	Events     int      // of them, how many showed
	Warnings   []string // what to keep in mind, each a plain sentence
}

// newStatistic is the one place where a Statistic is made. Limits that rounding
// has put on the wrong side of the estimate are moved onto it.
func newStatistic(value, low, high, confidence float64, n, events int, warnings ...string) Statistic {
	return Statistic{
		Value: value, Low: min(low, value), High: max(high, value),
		Confidence: confidence, N: n, Events: events, Warnings: warnings,
	}
}

// fewTests returns a warning, naming the number needed, if n tests could not show
// a share of 9 in 10 even if every one of them showed.
func fewTests(n int, confidence float64) []string {
	needed, err := SuccessRun(0.9, confidence)
	if err != nil || n >= needed {
		return nil
	}
	return []string{fmt.Sprintf(
		"Few tests: it takes %d with none failing to say that at least 9 in 10 show, with %g %% confidence.",
		needed, 100*confidence)}
}

// checkConfidence returns a *RangeError unless the confidence is one that
// limits can be worked out for.
func checkConfidence(confidence float64) error {
	if !(confidence >= 0.5) || confidence > 0.9999 {
		return &RangeError{Name: "confidence", Value: confidence, Want: "0.5 to 0.9999"}
	}
	return nil
}
