package calc

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The velocity put back must take up the drive: a U(b) + c b = drive.
func TestFrontSpeedTakesUpTheDrive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := &front{gel: anyGel(t), R: rapid.Float64Range(2e-5, 3e-4).Draw(t, "R")}
		drive := math.Exp(rapid.Float64Range(-20, 12).Draw(t, "ln drive"))
		a := math.Exp(rapid.Float64Range(-20, 20).Draw(t, "ln a"))
		c := math.Exp(rapid.Float64Range(-30, 8).Draw(t, "ln c"))
		U := f.speed(drive, a, c)
		// the excess stress that gives U, by bisection: another route
		lo, hi := -200.0, math.Log(drive/c)
		for range 200 {
			if mid := (lo + hi) / 2; a*f.gel.velocity(f.R, math.Exp(mid))+c*math.Exp(mid) < drive {
				lo = mid
			} else {
				hi = mid
			}
		}
		want := f.gel.velocity(f.R, math.Exp(lo))
		if !near(U, want, 1e-10) {
			t.Errorf("%g m/s, want %g", U, want)
		}
	})
}

func TestFrontSpeedWithoutTheLiquidsResistance(t *testing.T) {
	f := &front{gel: Gel{Consistency: 40, Index: 0.4, Yield: 10}, R: 1e-4}
	if got, want := f.speed(200, 0, 2), f.gel.velocity(f.R, 100); got != want {
		t.Errorf("%g m/s, want %g", got, want)
	}
}

// What has fallen, worked out without cancelling, against the plain difference.
func TestFrontSuctionFallsAsBoyleSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := Draw{
			Pull: Volume(rapid.Float64Range(0.02, 0.2).Draw(t, "pull")) * Millilitre,
			Gas:  Volume(rapid.Float64Range(0, 0.06).Draw(t, "gas")) * Millilitre,
		}
		f, err := newFront(Gel{Consistency: 40, Index: 0.4, Yield: 10}, Tube{0.44e-3, 0.043}, draw, 0)
		if err != nil {
			t.Fatal(err)
		}
		x := f.L * rapid.Float64Range(0, 1).Draw(t, "x/L")
		if got, want := f.fallen(x), f.suctionAt(0)-f.suctionAt(x); math.Abs(got-want) > 1e-9*f.Δp0 {
			t.Errorf("fallen by %g Pa, want %g", got, want)
		}
	})
}

// The suction's kink, where there is one, is where the trapped gas reaches the
// vapour pressure: before it nothing falls, after it something does.
func TestFrontKinkIsWhereTheSuctionBeginsToFall(t *testing.T) {
	draw := Draw{Pull: 0.1 * Millilitre, Gas: 0.0023 * Millilitre}
	f, err := newFront(Gel{Consistency: 20, Index: 0.45, Yield: 10}, Tube{0.44e-3, 0.043}, draw, 2e-3)
	if err != nil {
		t.Fatal(err)
	}
	at := func(t float64) float64 { // front position at t
		e := math.Exp(-f.gel.Index * t)
		return f.L * f.rest * (1 - e) / (f.φ*e + f.rest)
	}
	kink := f.kink()
	if !(kink > 0) {
		t.Fatalf("no kink: %g", kink)
	}
	if f.fallen(at(kink*0.999)) != 0 || !(f.fallen(at(kink*1.001)) > 0) {
		t.Errorf("at the kink %g: fallen by %g just before, %g just after", kink, f.fallen(at(kink*0.999)),
			f.fallen(at(kink*1.001)))
	}
	// where the suction falls from the start there is none
	f, err = newFront(Gel{Consistency: 20, Index: 0.45, Yield: 10}, Tube{0.44e-3, 0.043},
		Draw{Pull: DefaultPull, Gas: SuppliedGas}, 2e-3)
	if err != nil || f.kink() != 0 {
		t.Errorf("a supplied syringe has a kink at %g, %v", f.kink(), err)
	}
}
