package calc

import (
	"math"
	"testing"
)

func TestSuccessRun(t *testing.T) { // ⌈ln(1−c)/ln p⌉, arithmetic
	for _, c := range []struct {
		share, confidence float64
		want              int
	}{
		{0.90, 0.90, 22}, {0.90, 0.95, 29}, {0.95, 0.95, 59},
		{0.1, 0.9, 1}, {0.5, 0.75, 2}, {0.1, 0.99, 2}, // quotients that are whole numbers
		{0.01, 0.5, 1},
	} {
		if got, err := SuccessRun(c.share, c.confidence); err != nil || got != c.want {
			t.Errorf("share %g, confidence %g: %d, %v; want %d", c.share, c.confidence, got, err, c.want)
		}
	}
}

func TestSuccessRunIsTheShortestThatWillDo(t *testing.T) {
	const rounding = 1e-8
	for share := 0.05; share < 0.999; share += 0.013 {
		for _, confidence := range []float64{0.5, 0.8, 0.9, 0.95, 0.99} {
			n, err := SuccessRun(share, confidence)
			if err != nil {
				t.Fatal(err)
			}
			if math.Pow(share, float64(n)) > (1-confidence)*(1+rounding) {
				t.Errorf("%d do not suffice for %g at %g", n, share, confidence)
			}
			if n > 1 && math.Pow(share, float64(n-1)) <= (1-confidence)*(1-rounding) {
				t.Errorf("%d would suffice for %g at %g, not %d", n-1, share, confidence, n)
			}
		}
	}
}

func TestCouldStillFail(t *testing.T) {
	// 1 − 0.05^(1/n): arithmetic; n = 1 leaves 95 % open
	for n, want := range map[int]float64{1: 0.95, 2: 1 - math.Sqrt(0.05), 22: 0.12730, 29: 0.09814} {
		if got, err := CouldStillFail(n, 0.95); err != nil || math.Abs(got-want) > 1e-5 {
			t.Errorf("after %d: %.6f, %v; want %.5f", n, got, err, want)
		}
	}
	// Two routes: the two-sided exact limit of n of n at 90 % leaves 5 % on that side.
	for n := 1; n < 200; n++ {
		exact, err := ClopperPearson(n, n, 0.90)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := CouldStillFail(n, 0.95); err != nil || math.Abs(got-(1-exact.Low)) > 1e-9 {
			t.Errorf("after %d: %g, %v; exact limits say %g", n, got, err, 1-exact.Low)
		}
	}
	// and the run that SuccessRun asks for leaves no more than it should
	for _, share := range []float64{0.8, 0.9, 0.95} {
		n, err := SuccessRun(share, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		now, _ := CouldStillFail(n, 0.95)
		before, _ := CouldStillFail(n-1, 0.95)
		if now > 1-share || before <= 1-share {
			t.Errorf("share %g, run %d: could still fail %g, with one fewer %g", share, n, now, before)
		}
	}
}

func TestRunsRefuseOutsideTheirDomain(t *testing.T) {
	for _, c := range [][2]float64{{0, 0.9}, {1, 0.9}, {-1, 0.9}, {math.NaN(), 0.9}, {0.9, 0}, {0.9, 1},
		{0.9, math.NaN()}} {
		if n, err := SuccessRun(c[0], c[1]); err == nil || n != 0 {
			t.Errorf("share %g, confidence %g: %d", c[0], c[1], n)
		}
	}
	for _, n := range []int{0, -1} {
		if got, err := CouldStillFail(n, 0.95); err == nil || got != 0 {
			t.Errorf("%d tests: %g", n, got)
		}
	}
}
