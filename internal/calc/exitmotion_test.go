package calc

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Stress, consistency and pressure in another unit leave every time as it is, and
// so does a tube of another size with the same shape.
func TestExitTimeKnowsNoUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, tube := anyGel(t), anyTube(t)
		suction := 4 * Pressure(tube.Length/tube.Bore) * (g.Yield + 20)
		first, err := GelOnlyExitTime(g, tube, suction)
		if err != nil {
			t.Fatal(err)
		}
		k := rapid.Float64Range(0.1, 10).Draw(t, "factor")
		g.Consistency, g.Yield, suction = k*g.Consistency, Pressure(k)*g.Yield, Pressure(k)*suction
		scaled, err := GelOnlyExitTime(g, Tube{Length(k) * tube.Bore, Length(k) * tube.Length}, suction)
		if err != nil {
			t.Fatal(err)
		}
		if !near(float64(scaled.Time), float64(first.Time), 1e-9) {
			t.Errorf("%.12g s in one unit, %.12g s in another", float64(first.Time), float64(scaled.Time))
		}
	})
}

func TestExitTakesLongerWithMoreInTheWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, tube := anyGel(t), anyTube(t)
		draw := Draw{Pull: DefaultPull, Gas: Volume(rapid.Float64Range(0.001, 0.06).Draw(t, "gas")) * Millilitre}
		μ := Viscosity(rapid.Float64Range(1e-3, 1e-2).Draw(t, "μ"))
		time := func(g Gel, tube Tube, draw Draw, μ Viscosity) float64 {
			exit, err := ExitTime(g, tube, draw, μ)
			if err != nil {
				t.Fatal(err)
			}
			return float64(exit.Time)
		}
		T := time(g, tube, draw, μ)
		thicker, stiffer, longer, more := g, g, tube, draw
		thicker.Consistency *= 1.05
		stiffer.Yield *= 1.05
		longer.Length *= 1.05
		more.Source = 5 * Kilopascal
		const tol = 2 * exitTolerance
		for what, slower := range map[string]float64{
			"consistency": time(thicker, tube, draw, μ), "yield stress": time(stiffer, tube, draw, μ),
			"length": time(g, longer, draw, μ), "viscosity": time(g, tube, draw, 1.05*μ),
		} {
			if slower < T*(1-tol) {
				t.Errorf("more %s: %g s, before %g s", what, slower, T)
			}
		}
		if faster := time(g, tube, more, μ); faster > T*(1+tol) {
			t.Errorf("more pressure at the tip: %g s, before %g s", faster, T)
		}
	})
}

func TestGelThatDoesNotYieldNeverComesOut(t *testing.T) {
	tube := Tube{Bore: 0.165 * Millimetre, Length: 18 * Millimetre}
	draw := Draw{Pull: DefaultPull, Gas: SuppliedGas}
	suction, err := draw.Suction()
	if err != nil {
		t.Fatal(err)
	}
	threshold := stressOf(t, tube, suction)
	for _, c := range []struct {
		yield Pressure
		never bool
	}{{threshold * (1 - 1e-9), false}, {threshold * (1 + 1e-9), true}, {10 * threshold, true}} {
		full, err := ExitTime(Gel{Consistency: 40, Index: 0.4, Yield: c.yield}, tube, draw, WholeBlood)
		if err != nil {
			t.Fatal(err)
		}
		only, err := GelOnlyExitTime(Gel{Consistency: 40, Index: 0.4, Yield: c.yield}, tube, suction)
		if err != nil {
			t.Fatal(err)
		}
		if full.Never() != c.never || only.Never() != c.never {
			t.Errorf("yield %.12g of %.12g Pa: never is %v and %v, want %v", float64(c.yield), float64(threshold),
				full.Never(), only.Never(), c.never)
		}
		if c.never && full.LiquidShare != 0 {
			t.Errorf("a gel that never moves: %+v", full)
		}
	}
	// no pull, no suction
	still, err := ExitTime(Gel{Consistency: 1, Index: 1}, tube, Draw{Gas: SuppliedGas}, WholeBlood)
	if err != nil || !still.Never() {
		t.Errorf("without a pull: %+v, %v", still, err)
	}
	if only, err := GelOnlyExitTime(Gel{Consistency: 1, Index: 1}, tube, 0); err != nil || !only.Never() {
		t.Errorf("without suction: %+v, %v", only, err)
	}
}

// (K/τ)^(1/n) with n near 0.05 can pass every number: that slow is never, and not
// an error.
func TestExitTimeBeyondEveryNumberIsNever(t *testing.T) {
	gel, tube := Gel{Consistency: 1e6, Index: 0.05}, Tube{Bore: 1e-9, Length: 1e6}
	full, err := ExitTime(gel, tube, Draw{Pull: DefaultPull, Gas: SuppliedGas}, WholeBlood)
	if err != nil || !full.Never() || full.LiquidShare != 0 {
		t.Errorf("full model: %+v, %v", full, err)
	}
	only, err := GelOnlyExitTime(gel, tube, full.Suction)
	if err != nil || !only.Never() {
		t.Errorf("gel only: %+v, %v", only, err)
	}
}

// A pull smaller than the tube: the front stops where the suction left equals what
// the yield stress of the gel left holds back. One that just fills it gets there.
func TestFrontStopsWhereTheSuctionIsUsedUp(t *testing.T) {
	tube := Tube{Bore: 0.44 * Millimetre, Length: 43 * Millimetre} // holds 0.00654 mL
	for _, c := range []struct {
		yield     Pressure
		pull, gas Volume
		never     bool
	}{
		{0, 0.003 * Millilitre, 0.001 * Millilitre, true}, {20, 0.004 * Millilitre, 0.001 * Millilitre, true},
		{5, 0.0065 * Millilitre, 0.001 * Millilitre, true}, {0, 0.0066 * Millilitre, 0.001 * Millilitre, false},
		{0, 0.003 * Millilitre, 0, true}, // no gas at all: the suction stands until the pull is made up for
	} {
		draw := Draw{Pull: c.pull, Gas: c.gas}
		exit, err := ExitTime(Gel{Consistency: 5, Index: 0.5, Yield: c.yield}, tube, draw, WholeBlood)
		if err != nil || exit.Never() != c.never {
			t.Errorf("yield %g, pull %g mL: %+v, %v", float64(c.yield), c.pull.Millilitres(), exit, err)
		}
	}
}

// Why milk can stand in for blood, and where it cannot: the liquid's share of the
// exit time, by gel class at the class's median, over the usual needles. And why
// estimates may take the suction as steady: its fall costs under 1 %.
func TestWhatTheGelOnlyModelLeavesOutIsSmallForGels(t *testing.T) {
	tubes := []Tube{ // 25G 13 mm, 25G 38 mm, 27G, 29G, 30G 13 mm, 30G 8 mm, 31G 8 mm, 32G 4 mm; thin wall
		{0.292e-3, 18e-3}, {0.292e-3, 43e-3}, {0.241e-3, 18e-3}, {0.190e-3, 18e-3},
		{0.165e-3, 18e-3}, {0.165e-3, 13e-3}, {0.125e-3, 13e-3}, {0.105e-3, 9e-3},
	}
	for class, most := range map[GelClass]float64{
		MediumHA: 0.01, FirmHA: 0.01, UnknownGel: 0.01, CaHAPaste: 0.001, // under 1 %, as said of gels in general
		SoftHA: 0.015, DilutedCaHA: 0.015, // only just
		FineHA: 0.04, UncrosslinkedHA: 0.10, // thin products: it does not hold
	} {
		p, ok := class.prior()
		if !ok {
			t.Fatalf("no class %q", class)
		}
		g := Gel{math.Exp(p.LnConsistency.Mean), p.Index.Mean, Pressure(math.Exp(p.LnYield.Mean))}
		worst := 0.0
		for _, tube := range tubes {
			exit, err := ExitTime(g, tube, Draw{Pull: DefaultPull, Gas: SuppliedGas}, WholeBlood)
			if err != nil {
				t.Fatal(err)
			}
			worst = max(worst, exit.LiquidShare)
			steady, err := GelOnlyExitTime(g, tube, exit.Suction)
			if err != nil {
				t.Fatal(err)
			}
			alone := float64(exit.Time) * (1 - exit.LiquidShare)
			if fall := 1 - float64(steady.Time)/alone; !(fall > 0) || fall > 0.01 {
				t.Errorf("%s, %+v: %.2f %% of the time is the fall of the suction, want under 1", class, tube, 100*fall)
			}
		}
		if worst > most || worst < most/10 {
			t.Errorf("%s: up to %.2f %% of the time is the liquid's, want up to %.1f", class, 100*worst, 100*most)
		}
	}
}
