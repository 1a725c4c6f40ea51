package calc

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Newcombe, Stat Med 17 (1998) 857, table I (from memory, confirmed by R's
// binom.test); four digits are printed.
func TestLimitsOfPublishedProportions(t *testing.T) {
	for _, c := range []struct {
		k, n      int
		low, high float64
	}{
		{81, 263, .2527, .3676},
		{15, 148, .0578, .1617},
		{0, 20, 0, .1684},
		{1, 29, .0009, .1776},
	} {
		exact, err := ClopperPearson(c.k, c.n, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		const digit = 0.5e-4
		if math.Abs(exact.Low-c.low) > digit || math.Abs(exact.High-c.high) > digit {
			t.Errorf("%d of %d: %.5f to %.5f, want %.4f to %.4f", c.k, c.n, exact.Low, exact.High, c.low, c.high)
		}
	}
}

// R 4.2.2, binom.test, proportion.csv.
func TestLimitsAgainstR(t *testing.T) {
	const tol = 1e-9
	for _, r := range readRecords(t, "proportion.csv") {
		k, n, confidence := r.whole("events"), r.whole("n"), r.number("confidence")
		exact, err := ClopperPearson(k, n, confidence)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			column string
			got    float64
		}{{"exact_low", exact.Low}, {"exact_high", exact.High}} {
			if want := r.number(c.column); math.Abs(c.got-want) > tol {
				t.Errorf("%d of %d at %g, %s: %.12g, want %.12g", k, n, confidence, c.column, c.got, want)
			}
		}
		if exact.Value != float64(k)/float64(n) || exact.N != n || exact.Events != k {
			t.Errorf("%d of %d at %g came back as %+v", k, n, confidence, exact)
		}
	}
}

// The exact limits by their definition: at each, the counted or a rarer outcome
// has just the chance that the confidence leaves to one side.
func TestExactLimitsLeaveTheirTail(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		k := rapid.IntRange(0, n).Draw(t, "k")
		confidence := rapid.Float64Range(0.5, 0.9999).Draw(t, "confidence")
		s, err := ClopperPearson(k, n, confidence)
		if err != nil {
			t.Fatal(err)
		}
		if k > 0 && !near(atLeast(k, n, s.Low), (1-confidence)/2, 1e-7) {
			t.Errorf("chance of %d or more at the low limit: %g, want %g", k, atLeast(k, n, s.Low), (1-confidence)/2)
		}
		if k < n && !near(atLeast(n-k, n, 1-s.High), (1-confidence)/2, 1e-7) {
			t.Errorf("chance of %d or fewer at the high limit: %g, want %g", k, atLeast(n-k, n, 1-s.High),
				(1-confidence)/2)
		}
	})
}

// atLeast is the binomial chance of k or more of n, term by term.
func atLeast(k, n int, p float64) float64 {
	sum := 0.0
	for i := k; i <= n; i++ {
		a, _ := math.Lgamma(float64(n + 1))
		b, _ := math.Lgamma(float64(i + 1))
		c, _ := math.Lgamma(float64(n - i + 1))
		sum += math.Exp(a - b - c + float64(i)*math.Log(p) + float64(n-i)*math.Log1p(-p))
	}
	return sum
}

func TestLimitsMirrorAndWiden(t *testing.T) {
	for n := 1; n <= 30; n++ {
		for k := range n + 1 {
			s, err := ClopperPearson(k, n, 0.9)
			if err != nil {
				t.Fatal(err)
			}
			mirror, _ := ClopperPearson(n-k, n, 0.9)
			if math.Abs(s.Low-(1-mirror.High)) > 1e-9 || math.Abs(s.High-(1-mirror.Low)) > 1e-9 {
				t.Errorf("%d of %d: %g to %g, the other way round %g to %g", k, n, s.Low, s.High, mirror.Low,
					mirror.High)
			}
			wider, _ := ClopperPearson(k, n, 0.99)
			if wider.Low > s.Low || wider.High < s.High || s.Low > s.Value || s.High < s.Value {
				t.Errorf("%d of %d: %g to %g at 0.9, %g to %g at 0.99", k, n, s.Low, s.High, wider.Low, wider.High)
			}
		}
	}
}

func TestLimitsRefuseImpossibleCounts(t *testing.T) {
	for _, c := range []struct {
		k, n       int
		confidence float64
	}{{0, 0, 0.95}, {-1, 5, 0.95}, {6, 5, 0.95}, {1, -1, 0.95}, {1, 5, 0}, {1, 5, 1}, {1, 5, math.NaN()},
		{1, 2_000_000, 0.95}} {
		var outside *RangeError
		if s, err := ClopperPearson(c.k, c.n, c.confidence); !errors.As(err, &outside) || s.N != 0 {
			t.Errorf("%+v: %+v, %v; want a *RangeError", c, s, err)
		}
	}
}

func FuzzProportion(f *testing.F) {
	f.Add(81, 263, 0.95)
	f.Add(0, 20, 0.5)
	f.Add(999_999, 1_000_000, 0.9999)
	f.Fuzz(func(t *testing.T, k, n int, confidence float64) {
		s, err := ClopperPearson(k, n, confidence)
		if err == nil && !(0 <= s.Low && s.Low <= s.Value && s.Value <= s.High && s.High <= 1) {
			t.Errorf("%d of %d at %g: %+v", k, n, confidence, s)
		}
	})
}
