package calc

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Two routes: the chance after a negative is that of Bayes' theorem by odds.
func TestAfterNoFlashbackIsBayesByOdds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		inVessel := rapid.Float64Range(1e-4, 0.99).Draw(t, "in a vessel")
		shown := rapid.Float64Range(1e-4, 1).Draw(t, "shown")
		got, err := AfterNoFlashback(10_000, inVessel, shown)
		if err != nil {
			t.Fatal(err)
		}
		odds := inVessel / (1 - inVessel) * (1 - shown)
		if want := odds / (1 + odds); math.Abs(got.ChanceInVessel-want) > 1e-12 {
			t.Errorf("chance %g, by odds %g", got.ChanceInVessel, want)
		}
		if got.ChanceInVessel >= inVessel || got.Shown+got.Hidden != got.InVessel || got.Shown < 0 || got.Hidden < 0 {
			t.Errorf("%+v", got)
		}
	})
}

func TestAfterNoFlashbackInWholePlacements(t *testing.T) {
	// of 10 000 placements 2 % are in a vessel: 200; three in four show: 150 and 50;
	// 50 of the 9850 without a flashback (arithmetic)
	got, err := AfterNoFlashback(10_000, 0.02, 0.75)
	if err != nil {
		t.Fatal(err)
	}
	want := NoFlashback{Placements: 10_000, InVessel: 200, Shown: 150, Hidden: 50, ChanceInVessel: got.ChanceInVessel}
	if got != want || !near(got.ChanceInVessel, 50.0/9850, 1e-12) {
		t.Errorf("%+v, want %+v with a chance of %g", got, want, 50.0/9850)
	}
}

func TestHoldThatShowsNothingChangesNothing(t *testing.T) {
	for _, inVessel := range []float64{0, 0.001, 0.02, 1.0 / 3, 0.9, 0.999999} {
		got, err := AfterNoFlashback(10_000, inVessel, 0)
		if err != nil {
			t.Fatal(err)
		}
		if !got.ChangesNothing || got.ChanceInVessel != inVessel || got.Shown != 0 || got.Hidden != got.InVessel {
			t.Errorf("%g in a vessel: %+v", inVessel, got)
		}
	}
	all, err := AfterNoFlashback(10_000, 0.02, 1)
	if err != nil || all.ChangesNothing || all.ChanceInVessel != 0 || all.Hidden != 0 {
		t.Errorf("everything shows: %+v, %v", all, err)
	}
}

func TestTimeSpent(t *testing.T) {
	// 10 s × 12 a day × 200 days = 24 000 s; 6 s × 10 × 200 = 12 000 s (arithmetic)
	got, err := TimeSpent([]Habit{{10, 12, true}, {6, 10, false}}, 200)
	if err != nil || !near(got.Total, 10, 1e-12) || !near(got.NothingExpected, 24_000.0/3600, 1e-12) {
		t.Errorf("%+v, %v; want 10 hours, 6.67 of them for nothing", got, err)
	}
	if got, err := TimeSpent(nil, 200); err != nil || got != (Hours{}) {
		t.Errorf("no habits: %+v, %v", got, err)
	}
}

func TestScreeningRefusesOutsideItsDomain(t *testing.T) {
	nan := math.NaN()
	var outside *RangeError
	for _, c := range []struct {
		n    int
		π, s float64
	}{{0, 0.1, 0.5}, {-1, 0.1, 0.5}, {10, 1, 0.5}, {10, -0.1, 0.5}, {10, nan, 0.5}, {10, 0.1, -1}, {10, 0.1, 1.1},
		{10, 0.1, nan}} {
		if got, err := AfterNoFlashback(c.n, c.π, c.s); !errors.As(err, &outside) || got != (NoFlashback{}) {
			t.Errorf("%+v: %+v, %v; want a *RangeError", c, got, err)
		}
	}
	for _, h := range []Habit{{-1, 1, false}, {Seconds(nan), 1, false}, {4000, 1, false}, {1, -1, false},
		{1, nan, false}} {
		if got, err := TimeSpent([]Habit{h}, 200); !errors.As(err, &outside) || got != (Hours{}) {
			t.Errorf("%+v: %+v, %v; want a *RangeError", h, got, err)
		}
	}
	for _, days := range []float64{-1, 367, nan} {
		if _, err := TimeSpent(nil, days); !errors.As(err, &outside) {
			t.Errorf("%g days: %v; want a *RangeError", days, err)
		}
	}
}

// Bayes by hand, 1 in 200 in a vessel and 9 in 10 of those showing: of 10 000
// placements 50 are in a vessel, 45 show and 5 do not; 9955 show nothing, and 5 of
// them are in a vessel, 1 in 1991. With 1 in 40 and nothing left at 4 in 5: 250, 200,
// 50 of 9800, 1 in 196.
func TestAfterNoFlashbackByHand(t *testing.T) {
	for _, c := range []struct {
		inVessel, shown float64
		want            NoFlashback
	}{
		{1.0 / 200, 0.9, NoFlashback{10_000, 50, 45, 5, 5.0 / 9955, false}},
		{1.0 / 40, 0.8, NoFlashback{10_000, 250, 200, 50, 50.0 / 9800, false}},
	} {
		got, err := AfterNoFlashback(10_000, c.inVessel, c.shown)
		chance := got.ChanceInVessel
		got.ChanceInVessel = c.want.ChanceInVessel
		if err != nil || got != c.want || !near(chance, c.want.ChanceInVessel, 1e-12) {
			t.Errorf("%+v with a chance of %g, %v; want %+v", got, chance, err, c.want)
		}
	}
}
