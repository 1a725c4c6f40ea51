package calc

import (
	"math"
	"slices"
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

// Of more tests than are counted out the tails are those that counting gives: to a third
// around the limit of 0.01, and to 0.02 where they are large.
func TestSurpriseOfManyIsNearlyCountedOut(t *testing.T) {
	computesAlone(t)
	for _, seconds := range []Seconds{4, 9} { // all show by 10 s, most
		s := needle(0.19, 13)
		f := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, []Trial{filmed(t, seconds), filmed(t, 1.1*seconds),
			filmed(t, 0.9*seconds)}}), s)
		for _, hands := range [][]int{{210}, {40, 170}, {26, 26, 26, 26, 26, 26, 26, 26}} {
			var all [][]float64
			tests := 0
			for h, n := range hands {
				shifts := make([]float64, n)
				for i := range shifts {
					shifts[i] = []float64{-0.05, 0, 0.1}[(i+h)%3]
				}
				slices.Sort(shifts)
				all, tests = append(all, shifts), tests+n
			}
			m, slip := f.margin(10), slipShownBy(10)
			for shown := 0; shown <= tests; shown += 42 {
				few, many := f.tails(m, byMoments(all, DefaultSpread()), shown, slip)
				wantFew, wantMany := f.tails(m, countedOut(all, DefaultSpread()), shown, slip)
				for _, p := range [][2]float64{{few, wantFew}, {many, wantMany}} {
					if off := math.Abs(p[0] - p[1]); off > 0.02 || p[1] > 0.005 && off > p[1]/3 {
						t.Errorf("%v s, %d hands, %d of %d: %.4f, counted out %.4f", seconds, len(hands), shown, tests,
							p[0], p[1])
					}
				}
			}
		}
	}
}

// A surprise of thousands of tests is worked out in a moment: it grew with their square.
func BenchmarkSurpriseOfThousands(b *testing.B) {
	tested := madeUpTests(1, 5000)
	e, err := Fit(MediumHA, tested, DefaultSpread())
	if err != nil {
		b.Fatal(err)
	}
	f, err := e.Forecast(tested[0].Setup, DefaultPull)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		f.Surprise(tested[0].Trials, 10)
	}
}
