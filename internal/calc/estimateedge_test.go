package calc

import (
	"math"
	"sync"
	"testing"
)

// A set-up that is listed without a test says no more than one that is not listed.
func TestSetupWithoutTrialsIsAnUntestedOne(t *testing.T) {
	const tol = 0.003 // what a grid over δ and a smooth bell differ by, well within 0.01
	s, other := needle(0.165, 13), TestedSetup{needle(0.241, 13), []Trial{filmed(t, 2), filmed(t, 3)}}
	listed := mustForecast(t, mustFit(t, MediumHA, other, TestedSetup{Setup: s}), s).Share(10)
	unlisted := mustForecast(t, mustFit(t, MediumHA, other), s).Share(10)
	for _, d := range []float64{listed.Mean - unlisted.Mean, listed.Low - unlisted.Low, listed.High - unlisted.High} {
		if math.Abs(d) > tol {
			t.Errorf("listed %+v, not listed %+v", listed, unlisted)
		}
	}
}

// Hundreds of tests of one set-up neither underflow nor leave the counts behind.
func TestManyTestsOfOneSetup(t *testing.T) {
	s := needle(0.165, 13)
	var trials []Trial
	shown := 0
	for i := range 600 {
		at := 10 * Seconds(math.Exp(0.5*quantileOfNormal((float64(i)+0.5)/600)))
		if at <= 10 {
			shown++
		}
		trial := filmed(t, at)
		trial.Hand = int64(i % 40)
		trials = append(trials, trial)
	}
	f := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, trials}), s)
	share := f.Share(10)
	// Another syringe stays unknown, however many tests there are: half of them show
	// now, and of its tests between Φ(−z·lot/test) and Φ(z·lot/test), z the 90 % point.
	z := quantileOfNormal(1-tailOfShare) * lotSpread / DefaultSpread().oneTest()
	if want := float64(shown) / 600; math.Abs(share.Mean-want) > 0.05 ||
		math.Abs(share.High-share.Low-(2*phi().at(z)-1)) > 0.05 {
		t.Errorf("%+v, counted %.3f", share, want)
	}
	if p := f.Surprise(trials, 10); p < 0.01 {
		t.Errorf("the tests that made the estimate surprise it: %.4f", p)
	}
}

// What the model cannot bring about is an odd set-up, and the estimate stays finite.
func TestImpossibleTestsLeaveTheClass(t *testing.T) {
	s := needle(0.064, 60)
	e := mustFit(t, CaHAPaste, TestedSetup{s, []Trial{filmed(t, 0), filmed(t, 0), filmed(t, 0.01)}})
	if odd := mustForecast(t, e, s).odd; odd < 0.99 {
		t.Errorf("paste at once through 60 mm of 34G, three times: odd with probability %.3f", odd)
	}
	g := e.MiddleGel()
	if !finite(g.Consistency) || !finite(float64(g.Yield)) || !(g.Index >= minIndex && g.Index <= maxIndex) {
		t.Errorf("%+v", g)
	}
}

func TestForecastAtTheEdges(t *testing.T) {
	f := mustForecast(t, mustFit(t, SoftHA), needle(0.241, 13))
	for _, by := range []Seconds{0, -1, Seconds(math.NaN()), Seconds(math.Inf(-1))} {
		if s := f.Share(by); s.Mean != 0 || s.Low != 0 || s.High != 0 {
			t.Errorf("by %g s: %+v", float64(by), s)
		}
	}
	ever := f.Share(Seconds(math.Inf(1)))
	if late := f.Share(1e6); !(ever.Mean >= late.Mean && ever.Mean <= 1) {
		t.Errorf("ever %+v, by 1e6 s %+v", ever, late)
	}
	for _, share := range []float64{0, 1, -0.5, math.NaN()} {
		if at := f.Time(share); !math.IsInf(float64(at), 1) {
			t.Errorf("time of share %g: %g", share, float64(at))
		}
	}
}

// Tests of one set-up teach about the product, and so about its other set-ups.
func TestTestsOfOneSetupTeachAboutAnother(t *testing.T) {
	s, other := needle(0.165, 13), needle(0.165, 8)
	before := mustForecast(t, mustFit(t, MediumHA), other).Share(10)
	slow := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, []Trial{none(t, 60), none(t, 60), none(t, 60)}}),
		other).Share(10)
	quick := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, []Trial{filmed(t, 1), filmed(t, 1.2),
		filmed(t, 1.1)}}), other).Share(10)
	if !(slow.Mean < before.Mean && before.Mean < quick.Mean) {
		t.Errorf("after slow tests %.3f, before %.3f, after quick ones %.3f", slow.Mean, before.Mean, quick.Mean)
	}
}

// Meant for the race detector: one estimate, many readers.
func TestEstimateMayBeReadByMany(t *testing.T) {
	s := needle(0.165, 13)
	e := mustFit(t, MediumHA, TestedSetup{s, []Trial{filmed(t, 8), filmed(t, 11)}})
	f := mustForecast(t, e, s)
	want := f.Share(10)
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			own, err := e.Forecast(s, DefaultPull)
			if err != nil {
				t.Error(err)
				return
			}
			if got := own.Share(10); got != want || f.Time(0.5) != own.Time(0.5) {
				t.Errorf("%+v, want %+v", got, want)
			}
		})
	}
	wait.Wait()
}

// Whatever bytes come, they are refused or can be computed with.
func FuzzEstimateBytes(f *testing.F) {
	for _, class := range []GelClass{SoftHA, CaHAPaste} {
		e := mustFit(f, class, TestedSetup{needle(0.165, 13), []Trial{filmed(f, 3)}})
		e.points, e.weight = e.points[:3], e.weight[:3]
		e.setups[0].rows[0] = e.setups[0].rows[0][:3]
		good, err := e.MarshalBinary()
		if err != nil {
			f.Fatal(err)
		}
		f.Add(good)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var e Estimate
		if e.UnmarshalBinary(data) != nil {
			return
		}
		for _, s := range []Setup{needle(0.165, 13), needle(0.241, 19)} {
			fc, err := e.Forecast(s, DefaultPull)
			if err != nil {
				t.Fatal(err)
			}
			if share := fc.Share(10); !finite(share.Mean) || !finite(share.Low) || !finite(share.High) {
				t.Fatalf("share %+v", share)
			}
		}
	})
}
