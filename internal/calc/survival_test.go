package calc

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// watchesOf reads one set of survival_tests.csv.
func watchesOf(t *testing.T, set string) []Watch {
	t.Helper()
	var watches []Watch
	for _, r := range readRecords(t, "survival_tests.csv") {
		if r.cell["set"] == set {
			watches = append(watches, Watch{For: Seconds(r.number("time")), Shown: r.whole("shown") == 1})
		}
	}
	return watches
}

// curveOf returns the curve of the watches, or fails.
func curveOf(t *testing.T, watches []Watch) *Curve {
	t.Helper()
	c, err := KaplanMeier(watches)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Data: Freireich et al., Blood 21 (1963) 699, treated arm; remission times in
// weeks. Values seen in R survival 3.5-3, survfit.
func TestKaplanMeierRemission(t *testing.T) {
	var watches []Watch
	for _, w := range []Seconds{6, 6, 6, 7, 10, 13, 16, 22, 23} {
		watches = append(watches, Watch{w, true})
	}
	for _, w := range []Seconds{6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35} {
		watches = append(watches, Watch{w, false})
	}
	want := []Step{
		{6, 21, 3, .8571, .0764}, {7, 17, 1, .8067, .0869}, {10, 15, 1, .7529, .0963}, {13, 12, 1, .6902, .1068},
		{16, 11, 1, .6275, .1141}, {22, 7, 1, .5378, .1282}, {23, 6, 1, .4482, .1346},
	}
	got := curveOf(t, watches).Steps
	if len(got) != len(want) {
		t.Fatalf("%d steps, want %d", len(got), len(want))
	}
	const digit = 0.5001e-4 // four decimals are printed
	for i, w := range want {
		g := got[i]
		if g.Time != w.Time || g.AtRisk != w.AtRisk || g.Shown != w.Shown ||
			math.Abs(g.NotShown-w.NotShown) > digit || math.Abs(g.StdErr-w.StdErr) > digit {
			t.Errorf("step %d: %+v, want %+v", i, g, w)
		}
	}
}

// R survival 3.5-3, survfit with log–log limits, survival.csv.
func TestKaplanMeierAgainstR(t *testing.T) {
	const tol = 1e-12
	curves := map[string]*Curve{}
	for _, r := range readRecords(t, "survival.csv") {
		set := r.cell["set"]
		if curves[set] == nil {
			curves[set] = curveOf(t, watchesOf(t, set))
		}
		at, S := Seconds(r.number("time")), r.number("not_shown")
		var step Step
		for _, s := range curves[set].Steps {
			if s.Time == at {
				step = s
			}
		}
		if step.AtRisk != r.whole("at_risk") || step.Shown != r.whole("shown") || math.Abs(step.NotShown-S) > tol {
			t.Errorf("%v: %+v", r.cell, step)
		}
		got, err := curves[set].ShownBy(at, r.number("confidence"))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Value-(1-S)) > tol {
			t.Errorf("%v: share %g", r.cell, got.Value)
		}
		if S == 0 { // R gives neither a standard error nor limits
			if step.StdErr != 0 || r.cell["low"] != "" || got.High != 1 {
				t.Errorf("%v: %+v, %+v", r.cell, step, got)
			}
			continue
		}
		if !near(step.StdErr, r.number("std_err"), 1e-10) || math.Abs(got.Low-(1-r.number("high"))) > tol ||
			math.Abs(got.High-(1-r.number("low"))) > tol {
			t.Errorf("%v: %+v, limits %.12g to %.12g", r.cell, step, 1-got.High, 1-got.Low)
		}
	}
	if len(curves) != 3 {
		t.Errorf("%d sets compared, want 3", len(curves))
	}
}

// When every test is watched to its flashback the curve is the plain share.
func TestKaplanMeierWithoutDropOutsCountsShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		var watches []Watch
		for range n {
			watches = append(watches, Watch{Seconds(rapid.IntRange(0, 20).Draw(t, "time")), true})
		}
		c, err := KaplanMeier(watches)
		if err != nil {
			t.Fatal(err)
		}
		for by := range 22 {
			k := 0
			for _, w := range watches {
				if w.For <= Seconds(by) {
					k++
				}
			}
			s, err := c.ShownBy(Seconds(by), 0.9)
			if err != nil {
				t.Fatal(err)
			}
			share := float64(k) / float64(n)
			if math.Abs(s.Value-share) > 1e-12 || s.Events != k || s.N != n {
				t.Errorf("by %d: %+v, want %d of %d", by, s, k, n)
			}
			if k == 0 || k == n {
				exact, err := ClopperPearson(k, n, 0.9)
				if err != nil {
					t.Fatal(err)
				}
				if s.Low != exact.Low || math.Abs(s.High-exact.High) > 1e-12 {
					t.Errorf("by %d, %d of %d: %g to %g, want the exact %g to %g", by, k, n, s.Low, s.High, exact.Low,
						exact.High)
				}
				continue
			}
			// Greenwood is then the binomial standard error
			for _, step := range c.Steps {
				if want := math.Sqrt(share * (1 - share) / float64(n)); step.NotShown == 1-share &&
					!near(step.StdErr, want, 1e-9) {
					t.Errorf("by %d: standard error %g, want %g", by, step.StdErr, want)
				}
			}
		}
	})
}

func TestKaplanMeierKnowsNoOrder(t *testing.T) {
	watches := watchesOf(t, "ties")
	want := curveOf(t, watches)
	shuffled := append([]Watch(nil), watches...)
	rand.New(rand.NewPCG(3, 4)).Shuffle(len(shuffled),
		func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	got := curveOf(t, shuffled)
	for i := range want.Steps {
		if got.Steps[i] != want.Steps[i] {
			t.Errorf("step %d: %+v after shuffling, %+v before", i, got.Steps[i], want.Steps[i])
		}
	}
}

func TestCurveBeforeTheFirstFlashback(t *testing.T) {
	c := curveOf(t, []Watch{{2, false}, {5, true}, {8, false}, {9, true}})
	s, err := c.ShownBy(3, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	none, err := ClopperPearson(0, 3, 0.95) // three were watched that long
	if err != nil {
		t.Fatal(err)
	}
	if s.Value != 0 || s.Low != 0 || s.High != none.High || s.Events != 0 || s.N != 4 {
		t.Errorf("%+v, want 0 to %g", s, none.High)
	}
}

func TestCurveBeyondWhatWasWatched(t *testing.T) {
	nothing := curveOf(t, []Watch{{5, false}, {5, false}})
	if s, err := nothing.ShownBy(30, 0.9); err != nil || s.Low != 0 || s.High != 1 {
		t.Errorf("nobody watched for 30 s: %+v, %v", s, err)
	}
}

func TestKaplanMeierRefuses(t *testing.T) {
	var outside *RangeError
	for _, watches := range [][]Watch{nil, {{-1, true}}, {{Seconds(math.NaN()), true}},
		{{Seconds(math.Inf(1)), false}}} {
		if c, err := KaplanMeier(watches); !errors.As(err, &outside) || c != nil {
			t.Errorf("%v: %v, %v; want a *RangeError", watches, c, err)
		}
	}
	c := curveOf(t, []Watch{{1, true}})
	for _, bad := range [][2]float64{{-1, 0.9}, {math.NaN(), 0.9}, {math.Inf(1), 0.9}, {1, 0}, {1, 1}} {
		if s, err := c.ShownBy(Seconds(bad[0]), bad[1]); !errors.As(err, &outside) || s.N != 0 {
			t.Errorf("by %g at %g: %+v, %v; want a *RangeError", bad[0], bad[1], s, err)
		}
	}
}

func FuzzKaplanMeier(f *testing.F) {
	f.Add([]byte{6, 6, 134, 7, 10}, 7.0, 0.95)
	f.Fuzz(func(t *testing.T, data []byte, by, confidence float64) {
		var watches []Watch
		for _, b := range data { // the top bit says whether it showed
			watches = append(watches, Watch{Seconds(b&127) / 4, b < 128})
		}
		c, err := KaplanMeier(watches)
		if err != nil {
			return
		}
		before := 1.0
		for _, s := range c.Steps {
			if !(s.NotShown >= 0 && s.NotShown < before) || !(s.StdErr >= 0) || s.Shown < 1 || s.AtRisk < s.Shown {
				t.Errorf("%+v after %g", s, before)
			}
			before = s.NotShown
		}
		s, err := c.ShownBy(Seconds(by), confidence)
		if err == nil && !(0 <= s.Low && s.Low <= s.Value && s.Value <= s.High && s.High <= 1) {
			t.Errorf("%+v", s)
		}
	})
}
