package calc

import (
	"cmp"

	"gonum.org/v1/gonum/stat/distuv"
)

// mostTests is the largest number of tests that limits are worked out for.
const mostTests = 1_000_000

// ClopperPearson returns the share of tests that showed, with exact limits: they contain the true
// share at least as often as the confidence says, and usually more often.
//
//	low  = Beta(α/2; k, n−k+1),   high = Beta(1−α/2; k+1, n−k),   α = 1 − confidence
//
// The low limit of k = 0 is 0, the high limit of k = n is 1.
//
// Domain:   1 ≤ n ≤ 1 000 000, 0 ≤ events ≤ n, 0.5 ≤ confidence ≤ 0.9999.
// Accuracy: 1e-9 or better.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   Clopper, Pearson, Biometrika 26 (1934) 404.
func ClopperPearson(events, n int, confidence float64) (Statistic, error) {
	if err := checkCounts(events, n, confidence); err != nil {
		return Statistic{}, err
	}
	k, N, tail := float64(events), float64(n), (1-confidence)/2
	low, high := 0.0, 1.0
	if events > 0 {
		low = distuv.Beta{Alpha: k, Beta: N - k + 1}.Quantile(tail)
	}
	if events < n {
		high = distuv.Beta{Alpha: k + 1, Beta: N - k}.Quantile(1 - tail)
	}
	return newStatistic(k/N, low, high, n, events), nil
}

// checkCounts returns a *RangeError unless limits of events in n tests can be worked out.
func checkCounts(events, n int, confidence float64) error {
	return cmp.Or(within("number of tests", float64(n), 1, mostTests, "1 to 1 000 000"),
		within("tests that showed", float64(events), 0, float64(n), "0 to the number of tests"),
		checkConfidence(confidence))
}
