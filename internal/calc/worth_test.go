package calc

import (
	"math"
	"testing"
)

// Two routes: what a test is expected to leave, against fitting again with each
// possible outcome and weighing by its chance.
func TestWorthAgainstFittingAgain(t *testing.T) {
	s := needle(0.165, 13)
	trials := []Trial{filmed(t, 7), none(t, 20)}
	f := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, trials}), s)
	w, err := f.Worth(10, 30)
	if err != nil {
		t.Fatal(err)
	}
	sd := func(f *Forecast) float64 { // the margin's histogram and a fine sum over what is added
		var sum shareSum
		m := f.margin(10)
		for k, mass := range m.mass {
			const steps = 24
			for j, w := range normalWeights(lotSpread, lotSpread*4/steps, steps) {
				share := phi().at((m.place(k) + lotSpread*4/steps*float64(j-steps)) / m.test)
				sum.add(mass*w, share, square(share))
			}
		}
		return math.Sqrt(sum.variance())
	}
	if now := sd(f); math.Abs(now-w.Now) > 1e-3 {
		t.Errorf("now %.4f, want %.4f", w.Now, now)
	}
	// One more test of what was tested: another syringe is no part of it.
	shownBy := func(by Seconds) float64 {
		m := f.margin(by)
		m.added = []addition{{1, 1e-9}}
		return m.share()
	}
	var expected, before float64
	for k := range outcomeEdges + 1 {
		trial, shown := none(t, 30), 1.0
		trial.Hand = 9
		if k < outcomeEdges {
			to := Seconds(math.Ldexp(30, k+1-outcomeEdges))
			trial, shown = Trial{Pull: DefaultPull, From: 0, To: to, Hand: 9}, shownBy(to)
			if k > 0 {
				trial.From = to / 2
			}
		}
		again := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, append(trials[:2:2], trial)}), s)
		expected += (shown - before) * sd(again)
		before = shown
	}
	// Fitting again reckons with slips, Worth does not: it may promise a little more.
	if math.Abs(expected-w.Expected) > 0.01 || !(w.Loss() > 0) {
		t.Errorf("after one more test %.4f, fitted again %.4f, now %.4f", w.Expected, expected, w.Now)
	}
}

func TestWorthFallsAsTestsComeIn(t *testing.T) {
	s := needle(0.165, 13)
	before := math.Inf(1)
	var trials []Trial
	for n := range 4 {
		w, err := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, trials}), s).Worth(10, 30)
		if err != nil {
			t.Fatal(err)
		}
		if w.Loss() >= before {
			t.Errorf("after %d tests a further one is worth %.4f, before %.4f", len(trials), w.Loss(), before)
		}
		before = w.Loss()
		for range 3 {
			trials = append(trials, filmed(t, 8+Seconds(n)))
		}
	}
}
