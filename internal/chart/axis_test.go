package chart

import (
	"testing"

	"pgregory.net/rapid"
)

func TestTimeAxisHoldsWhatItIsMadeFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		earliest := rapid.Float64Range(0, 100).Draw(t, "earliest")
		latest := earliest + rapid.Float64Range(0, longestDrawn-100).Draw(t, "more")
		a := newTimeAxis(earliest, latest, plotLeft, plotRight)
		if a.from > max(earliest, shortestDrawn) || a.to <= latest {
			t.Errorf("axis %g to %g s for %g to %g s", a.from, a.to, earliest, latest)
		}
		if x := a.x(latest) + arrowReach; x > plotRight {
			t.Errorf("an arrow at %g s ends at %.0f, past the plot", latest, x)
		}
		if n := len(timeTicksOn(a)); n < 3 {
			t.Errorf("%d marks on %g to %g s", n, a.from, a.to)
		}
		s := rapid.Float64Range(a.from, a.to/2).Draw(t, "s")
		if d := a.x(2*s) - a.x(s) - (a.x(2*a.from) - a.x(a.from)); d > 1e-6 || d < -1e-6 {
			t.Errorf("doubling %g s moves by %g px more than doubling the first", s, d)
		}
	})
}

func TestTimesOffTheAxisLieOnItsEnds(t *testing.T) {
	a := newTimeAxis(1, 10, 100, 900)
	for s, want := range map[float64]float64{0: 100, 0.5: 100, 1: 100, 30: 900, 1e9: 900} {
		near(t, "place", a.x(s), want, 1e-9)
	}
}

func TestSecondsInWords(t *testing.T) {
	for s, want := range map[float64]string{0: "0 s", 0.03: "0.03 s", 0.333: "0.33 s", 8: "8 s", 13.7: "13.7 s",
		120: "120 s", 100.4: "100 s"} {
		if got := secondsWords(s); got != want {
			t.Errorf("secondsWords(%g) = %q, want %q", s, got, want)
		}
	}
}
