package calc

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// The repeats that a group needs before its own spread replaces the default one. Chosen, without a
// published source.
const (
	RepeatsNeeded              = 30
	RepeatedCombinationsNeeded = 8
)

// ErrTooFewRepeats says that no tester has repeated a test on any combination.
var ErrTooFewRepeats = errors.New("no tester has repeated a test on the same combination")

// Repeat is one test, for the spread between tests that should have agreed.
type Repeat struct {
	Combination string
	Tester      string
	Time        Seconds // +Inf if there was no flashback; 0 if it was there at once
}

// RepeatSpread is how far tests of the same combination lie apart, as standard
// deviations of the natural logarithm of the time: 0.1 is about 10 %.
type RepeatSpread struct {
	Repeatability   Statistic // the same tester again
	BetweenTesters  Statistic // what the tester's hand adds
	Reproducibility Statistic // another tester: both together

	Repeats              int // tests beyond a tester's first on a combination
	RepeatedCombinations int // combinations with a repeat
	None                 int // tests left out because they never showed
	AtOnce               int // tests left out because they showed at 0 s
}

// MeasureSpread returns the repeatability and reproducibility of tests, by
// tester within combination, from a one-way analysis of variance of ln time.
//
//	s_r² = Σ Σ (y − ȳ_tester)² / Σ (n_i − 1)
//	s_d² = Σ n_i (ȳ_tester − ȳ_combination)² / Σ (p − 1)
//	s_L² = (s_d² − s_r²)/n̄, not below 0,   n̄ = Σ (N − Σ n_i²/N) / Σ (p − 1)
//	s_R² = s_r² + s_L²
//
// with p testers on a combination, n_i tests of one of them, N of all; the outer
// sums run over combinations. For one combination this is the standard's formula.
//
// Domain:   at most 1 000 000 tests in any order; times ≥ 0, +Inf for none;
// 0.5 ≤ confidence ≤ 0.9999.
// Accuracy: limits of s_r are exact for normal ln time; those of s_L (Williams,
// Tukey) and s_R (Satterthwaite) are approximate. Tests without a flashback are
// left out and counted, so the spread of slow combinations comes out too low.
// Errors:   *RangeError naming the argument outside the domain;
// ErrTooFewRepeats.
// Source:   ISO 5725-2:1994, 7.4; Williams, Biometrika 49 (1962) 278;
// Satterthwaite, Biometrics 2 (1946) 110 (all from memory).
func MeasureSpread(tests []Repeat, confidence float64) (RepeatSpread, error) {
	err := cmp.Or(checkConfidence(confidence),
		within("number of tests", float64(len(tests)), 0, mostTests, "at most 1 000 000"))
	if err != nil {
		return RepeatSpread{}, err
	}
	var spread RepeatSpread
	timed := make([]logTime, 0, len(tests))
	for _, r := range tests {
		switch {
		case math.IsInf(float64(r.Time), 1):
			spread.None++
		case r.Time == 0:
			spread.AtOnce++
		case !(r.Time > 0):
			return RepeatSpread{}, &RangeError{Name: "time", Value: float64(r.Time), Want: "0 or more, +Inf for none"}
		default:
			timed = append(timed, logTime{r.Combination, r.Tester, math.Log(float64(r.Time))})
		}
	}
	v := analyse(timed)
	if v.within.df == 0 {
		return RepeatSpread{}, ErrTooFewRepeats
	}
	spread.Repeats, spread.RepeatedCombinations = v.within.df, v.repeated
	spread.fill(v, confidence, len(tests), len(timed))
	return spread, nil
}

// TimesApart returns the factor within which two tests lie of each other with a probability, if ln
// time has the standard deviation sd.
//
//	factor = exp( z √2 sd ),   z the normal quantile of (1 + probability)/2
//
// At 95 % z √2 is 2.77, the 2.8 by which the standard makes a repeatability limit of a standard
// deviation.
//
// Domain:   sd ≥ 0, +Inf gives +Inf; 0.5 ≤ probability ≤ 0.9999.
// Accuracy: rounding only, for normal ln time.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   ISO 5725-6:1994, 4.1 (from memory).
func TimesApart(sd, probability float64) (float64, error) {
	if !(sd >= 0) {
		return 0, &RangeError{Name: "standard deviation", Value: sd, Want: "0 or more"}
	}
	if err := checkConfidence(probability); err != nil {
		return 0, err
	}
	return math.Exp(quantileOfNormal(0.5+probability/2) * math.Sqrt2 * sd), nil
}

// logTime is one test that showed.
type logTime struct {
	combination, tester string
	y                   float64 // ln time
}

// meanSquare is a sum of squares with its degrees of freedom.
type meanSquare struct {
	sum float64
	df  int
}

// value returns the mean square, 0 without degrees of freedom.
func (m meanSquare) value() float64 {
	if m.df == 0 {
		return 0
	}
	return m.sum / float64(m.df)
}

// variance is the table of a one-way analysis within combinations.
type variance struct {
	within, between meanSquare
	size            float64 // n̄, the usual number of tests per tester
	repeated        int     // combinations with a repeat
}

// analyse sorts the tests, so that their order cannot change a digit, and adds up the table
// combination by combination.
func analyse(timed []logTime) variance {
	slices.SortFunc(timed, func(a, b logTime) int {
		return cmp.Or(cmp.Compare(a.combination, b.combination), cmp.Compare(a.tester, b.tester), cmp.Compare(a.y, b.y))
	})
	var v variance
	for rest := timed; len(rest) > 0; {
		n := runLength(rest, func(a, b logTime) bool { return a.combination == b.combination })
		v.add(rest[:n])
		rest = rest[n:]
	}
	if v.between.df > 0 {
		v.size /= float64(v.between.df)
	}
	return v
}

// add adds one combination's tests, sorted by tester, to the table.
func (v *variance) add(tests []logTime) {
	N := float64(len(tests))
	grand, before, sumSquares := meanLog(tests), v.within.df, 0.0
	testers := 0
	for rest := tests; len(rest) > 0; testers++ {
		n := runLength(rest, func(a, b logTime) bool { return a.tester == b.tester })
		mean := meanLog(rest[:n])
		for _, t := range rest[:n] {
			v.within.sum += (t.y - mean) * (t.y - mean)
		}
		v.within.df += n - 1
		v.between.sum += float64(n) * (mean - grand) * (mean - grand)
		sumSquares += float64(n) * float64(n)
		rest = rest[n:]
	}
	v.between.df += testers - 1
	v.size += N - sumSquares/N
	if v.within.df > before {
		v.repeated++
	}
}

// runLength returns how many of the first tests belong together.
func runLength(tests []logTime, same func(a, b logTime) bool) int {
	n := 1
	for n < len(tests) && same(tests[0], tests[n]) {
		n++
	}
	return n
}

// meanLog returns the mean of ln time.
func meanLog(tests []logTime) float64 {
	sum := 0.0
	for _, t := range tests {
		sum += t.y
	}
	return sum / float64(len(tests))
}

// fill works out the three standard deviations from the table.
func (s *RepeatSpread) fill(v variance, confidence float64, n, events int) {
	within, between := v.within.value(), v.between.value()
	stat := func(value, low, high float64) Statistic {
		return newStatistic(math.Sqrt(value), math.Sqrt(low), math.Sqrt(high), n, events)
	}
	low, high := varianceLimits(within, float64(v.within.df), confidence)
	s.Repeatability = stat(within, low, high)
	if v.between.df == 0 { // what a tester's hand adds is not known
		s.BetweenTesters = stat(0, 0, math.Inf(1))
		s.Reproducibility = stat(within, low, math.Inf(1))
		return
	}
	hand := max(0, (between-within)/v.size)
	handLow, handHigh := v.handLimits(confidence)
	if handHigh == 0 { // a weakness of the method: the data do not say that there is no spread at all
		handHigh = math.Inf(1)
	}
	s.BetweenTesters = stat(hand, handLow, handHigh)
	low, high = varianceLimits(within+hand, v.totalFreedom(), confidence)
	s.Reproducibility = stat(within+hand, low, high)
}

// varianceLimits returns limits for a variance with that many degrees of freedom.
func varianceLimits(value, df, confidence float64) (low, high float64) {
	χ := distuv.ChiSquared{K: df}
	return value * df / χ.Quantile(0.5+confidence/2), value * df / χ.Quantile(0.5-confidence/2)
}

// handLimits returns Williams's and Tukey's approximate limits for s_L².
func (v variance) handLimits(confidence float64) (low, high float64) {
	df1, df2 := float64(v.between.df), float64(v.within.df)
	limit := func(p float64) float64 {
		F := distuv.F{D1: df1, D2: df2}.Quantile(p)
		χ := distuv.ChiSquared{K: df1}.Quantile(p)
		return max(0, (v.between.value()-F*v.within.value())*df1/(v.size*χ))
	}
	return limit(0.5 + confidence/2), limit(0.5 - confidence/2)
}

// totalFreedom returns Satterthwaite's degrees of freedom of s_R².
func (v variance) totalFreedom() float64 {
	a, b := v.between.value()/v.size, v.within.value()*(1-1/v.size)
	if v.between.value() <= v.within.value() {
		return float64(v.within.df) // s_L² was cut off at 0
	}
	return (a + b) * (a + b) / (a*a/float64(v.between.df) + b*b/float64(v.within.df))
}
