package calc

import (
	"errors"
	"math"
	"testing"
)

// One frame either way is a rectangle of half-width 1/fps, whose standard
// uncertainty is the half-width over √3 (GUM, JCGM 100:2008, 4.3.7; the values
// for 30, 60 and 240 frames a second are arithmetic).
func TestAFilmedTrialHoldsToOneFrame(t *testing.T) {
	for _, c := range []struct{ fps, wantMS float64 }{{30, 19.245}, {60, 9.623}, {240, 2.406}} {
		trial, err := TimedTrial(DefaultPull, 5, FilmError(c.fps))
		if err != nil {
			t.Fatal(err)
		}
		halfWidth := float64(trial.To-trial.From) / 2
		if got := 1000 * halfWidth / math.Sqrt(3); math.Abs(got-c.wantMS) > 0.0005 {
			t.Errorf("%g fps: u = %.4f ms, want %.3f", c.fps, got, c.wantMS)
		}
		if middle := (trial.From + trial.To) / 2; math.Abs(float64(middle-5)) > 1e-12 {
			t.Errorf("%g fps: middle %g s, want 5", c.fps, float64(middle))
		}
	}
}

func TestTrialsNeverBeginBelowZero(t *testing.T) {
	first, err := TimedTrial(DefaultPull, 0, FilmError(30))
	if err != nil || first.From != 0 || first.To != Seconds(1.0/30) {
		t.Errorf("first frame: %+v, %v", first, err)
	}
	second, err := TimedTrial(DefaultPull, Seconds(1.0/30), FilmError(30))
	if err != nil || second.From != 0 || second.To != Seconds(2.0/30) {
		t.Errorf("from the first frame on, 0 to 2 frames: %+v, %v", second, err)
	}
	quick, err := TimedTrial(DefaultPull, 0.1, StopwatchError)
	if err != nil || quick.From != 0 || math.Abs(float64(quick.To)-0.4) > 1e-12 {
		t.Errorf("stopwatch 0.1 s: %+v, %v", quick, err)
	}
}

// docs/method.md states how far each way of timing can be off.
func TestTwoPressesAreWeighedAsHalfASecondEitherWay(t *testing.T) {
	trial, err := TimedTrial(DefaultPull, 3.4, TapError)
	if err != nil || math.Abs(float64(trial.From-2.9)) > 1e-12 || math.Abs(float64(trial.To-3.9)) > 1e-12 {
		t.Errorf("%+v, %v", trial, err)
	}
	if quick, err := TimedTrial(DefaultPull, 0.2, TapError); err != nil || quick.From != 0 {
		t.Errorf("%+v, %v", quick, err)
	}
	if _, err := TimedTrial(DefaultPull, -1, TapError); err == nil {
		t.Error("blood before the pull")
	}
}

func TestNoneTrialIsOpenAtTheEnd(t *testing.T) {
	trial, err := NoneTrial(DefaultPull, 20)
	if err != nil || !trial.None() || trial.From != 20 {
		t.Errorf("%+v, %v", trial, err)
	}
}

func TestTrialsRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, err := range map[string]error{
		"no frames":       second(TimedTrial(DefaultPull, 1, FilmError(0))),
		"NaN frames":      second(TimedTrial(DefaultPull, 1, FilmError(nan))),
		"negative time":   second(TimedTrial(DefaultPull, -1, StopwatchError)),
		"NaN time":        second(TimedTrial(DefaultPull, Seconds(nan), StopwatchError)),
		"endless time":    second(TimedTrial(DefaultPull, Seconds(inf), StopwatchError)),
		"no pull":         second(TimedTrial(0, 1, StopwatchError)),
		"watched nothing": second(NoneTrial(DefaultPull, 0)),
		"watched for NaN": second(NoneTrial(DefaultPull, Seconds(nan))),
		"watched forever": second(NoneTrial(DefaultPull, Seconds(inf))),
	} {
		var out *RangeError
		if !errors.As(err, &out) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second(_ Trial, err error) error { return err }

// A slip is log-uniform between 0.05 and 120 s with probability ½, none with ½:
// the chances of intervals that tile the range add up to one.
func TestSlipLikelihoodAddsUp(t *testing.T) {
	sum := slipLikelihood(Trial{From: 20, To: Seconds(math.Inf(1))})
	edges := []Seconds{0, 0.06, 0.3, 1, 7, 40, 200}
	for i := 1; i < len(edges); i++ {
		sum += slipLikelihood(Trial{From: edges[i-1], To: edges[i]})
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("%.12f, want 1", sum)
	}
	if p := slipLikelihood(Trial{From: 0, To: 0.033}); !(p > 0) || p > 1e-6 {
		t.Errorf("below the range of a slip: %g, want next to nothing", p)
	}
}
