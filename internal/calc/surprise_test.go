package calc

import (
	"math"
	"testing"
)

// The nodes have the moments of the standard normal distribution: 1, 0, 1, 0, 3, 0, 15,
// 0, 105, as five Gauss–Hermite nodes must up to the ninth.
func TestHandNodes(t *testing.T) {
	for k, want := range []float64{1, 0, 1, 0, 3, 0, 15, 0, 105} {
		var sum float64
		for _, n := range handNodes {
			sum += n[1] * math.Pow(n[0], float64(k))
		}
		if math.Abs(sum-want) > 1e-9*(1+want) {
			t.Errorf("moment %d: %.12g, want %g", k, sum, want)
		}
	}
}

// Tests by one hand share it: that all of one hand's fail says less than that tests by
// as many hands do.
func TestSurpriseAtOneHandIsLess(t *testing.T) {
	s := needle(0.165, 13)
	f := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, madeBy(t, 6, 6, 7, 6.5, 7.5, 6, 7)}), s)
	var one, many []Trial
	for i := range 6 {
		trial := none(t, 20)
		one = append(one, trial)
		trial.Hand = int64(i)
		many = append(many, trial)
	}
	if a, b := f.Surprise(one, 10), f.Surprise(many, 10); !(a > 1.5*b) {
		t.Errorf("six of one hand %.5f, of six hands %.5f", a, b)
	}
}

// That all of many tests show, as the estimate says, is no surprise, though two in a
// hundred could be slips.
func TestNobodySlippingIsNoSurprise(t *testing.T) {
	s := needle(0.241, 13)
	var trials []Trial
	for i := range 400 {
		trial := filmed(t, 2+Seconds(i%5)/10)
		trial.Hand = int64(i % 8)
		trials = append(trials, trial)
	}
	f := mustForecast(t, mustFit(t, SoftHA, TestedSetup{s, trials}), s)
	if p := f.Surprise(trials, 10); p < 0.5 {
		t.Errorf("400 of 400 shown: %.4f", p)
	}
}
