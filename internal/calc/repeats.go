package calc

import (
	"cmp"
	"math"
)

// SuccessRun returns how many tests, all of them showing, it takes to say with that confidence that
// at least that share shows.
//
//	n = ⌈ ln(1−confidence) / ln(share) ⌉
//
// Domain:   0 < share ≤ 0.99999, 0.5 ≤ confidence ≤ 0.9999.
// Accuracy: exact; a quotient within 1e-9 above a whole number counts as it.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   the smallest n with shareⁿ ≤ 1 − confidence.
func SuccessRun(share, confidence float64) (int, error) {
	err := cmp.Or(within("share", share, math.SmallestNonzeroFloat64, 0.99999, "above 0, at most 0.99999"),
		checkConfidence(confidence))
	if err != nil {
		return 0, err
	}
	return max(1, int(math.Ceil(math.Log1p(-confidence)/math.Log(share)-1e-9))), nil
}

// CouldStillFail returns the largest share that may still fail to show when all of n tests showed.
//
//	1 − (1−confidence)^(1/n)
//
// Domain:   1 ≤ n ≤ 1 000 000, 0.5 ≤ confidence ≤ 0.9999.
// Accuracy: rounding only.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   the one-sided exact limit for n of n; 3/n is its rule of thumb at 95 %.
func CouldStillFail(n int, confidence float64) (float64, error) {
	if err := checkCounts(n, n, confidence); err != nil {
		return 0, err
	}
	return -math.Expm1(math.Log1p(-confidence) / float64(n)), nil
}
