package calc

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// speedOf returns the mean velocity in m/s.
func speedOf(g Gel, bore Length, wall Pressure) float64 {
	return g.velocity(float64(bore)/2, float64(wall-g.Yield))
}

// flowOf returns the volume per second in m³/s: Q = π R² U.
func flowOf(g Gel, bore Length, wall Pressure) float64 {
	R := float64(bore) / 2
	return math.Pi * R * R * speedOf(g, bore, wall)
}

// stressOf returns the wall stress, or fails.
func stressOf(t *testing.T, tube Tube, drop Pressure) Pressure {
	t.Helper()
	τ, err := WallStress(tube, drop)
	if err != nil {
		t.Fatal(err)
	}
	return τ
}

func TestNewtonianCapillary(t *testing.T) { // Geankoplis, Transport Processes, ex. 2.10-1 (seen)
	tube := Tube{Bore: 2.22 * Millimetre, Length: 0.317}
	const μ, ρ, drop = 1.13e-3, 875, 0.0655 * 996 * 9.80665 // 639.77 Pa, from 0.0655 m of water
	water := Gel{Consistency: μ, Index: 1}
	wall := stressOf(t, tube, drop)
	V := speedOf(water, tube.Bore, wall)
	Q := flowOf(water, tube.Bore, wall)
	const tol = 0.002 // three digits are printed
	if !near(V, 0.275, tol) || !near(Q, 1.065e-6, tol) || !near(ρ*V*float64(tube.Bore)/μ, 473, tol) {
		t.Errorf("V %g, Q %g, Re %g; want 0.275, 1.065e-6, 473", V, Q, ρ*V*float64(tube.Bore)/μ)
	}
}

// The handbooks below print a pressure drop for a velocity. Put in, the drop must
// give that velocity back; a tolerance on the drop is 1/n times as wide on the
// velocity.
func TestPowerLawHandbookExamples(t *testing.T) {
	for _, c := range []struct {
		source       string
		K, n         float64
		bore, length Length
		drop         Pressure
		V, tol       float64
	}{
		// K′ = 15.23 is the tube's value, τw = K′(8V/D)ⁿ; K = K′ (4n/(3n+1))ⁿ = 13.408
		{"Geankoplis, Transport Processes, ex. 3.5-1 (seen)", 15.23 * math.Pow(4*0.4/(3*0.4+1), 0.4), 0.40, 52.4e-3,
			14.9, 45.39e3, 0.0728, 0.001},
		{"de Nevers, Fluid Mechanics for Chemical Engineers, ex. 13.1 (seen)", 0.66, 0.41, 0.1524, 1, 61.3, 0.3048,
			0.005},
		// 1 m/s on the axis, which is (3n+1)/(n+1) times the mean
		{"Coulson, Richardson, vol. 1, ex. 3.10 (seen)", 10, 0.2, 0.04, 200, 6.26e5, (0.2 + 1) / (3*0.2 + 1), 0.001},
		// 2500 kg/h of 1075 kg/m³ in 25 mm: 1.316 m/s
		{"Chhabra, Richardson, ex. 3.1 (from memory)", 3, 0.5, 25e-3, 10, 110e3, 1.32, 0.005},
	} {
		got := speedOf(Gel{Consistency: c.K, Index: c.n}, c.bore, stressOf(t, Tube{c.bore, c.length}, c.drop))
		if !near(got, c.V, c.tol/c.n) {
			t.Errorf("%s: %g m/s, want %g", c.source, got, c.V)
		}
	}
	if K := 15.23 * math.Pow(4*0.4/(3*0.4+1), 0.4); !near(K, 13.408, 1e-4) {
		t.Errorf("K of the first example: %g, want 13.408", K)
	}
}

func TestPowerLawAxisSpeed(t *testing.T) { // Chhabra, Richardson, ex. 3.1 (from memory): V_max 2.19 m/s
	const n = 0.5
	tube := Tube{Bore: 25 * Millimetre, Length: 10}
	V := speedOf(Gel{Consistency: 3, Index: n}, tube.Bore, stressOf(t, tube, 110e3))
	if !near(V*(3*n+1)/(n+1), 2.19, 0.005/n) {
		t.Errorf("V_max %g m/s, want 2.19", V*(3*n+1)/(n+1))
	}
}

func TestPowerLawAgainstNewtonian(t *testing.T) { // Coulson, Richardson, vol. 1, ex. 3.11 (seen)
	// n = 1/3, and the apparent viscosity is 0.1 Pa·s for both at 1000 1/s
	thinning := Gel{Consistency: 0.1 * math.Pow(1000, 2.0/3), Index: 1.0 / 3}
	plain := Gel{Consistency: 0.1, Index: 1}
	tube := Tube{Bore: 25 * Millimetre, Length: 20}
	wall := stressOf(t, tube, 1e5)
	if ratio := speedOf(thinning, tube.Bore, wall) / speedOf(plain, tube.Bore, wall); !near(ratio, 0.065, 0.01) {
		t.Errorf("ratio of the flows %g, want 0.065", ratio)
	}
}

func TestYieldStressFlow(t *testing.T) {
	const tol = 1e-6
	bore := Length(0.04)
	wallAt := func(gradient float64) Pressure { // τw = G R/2
		return stressOf(t, Tube{Bore: bore, Length: 1}, Pressure(gradient))
	}
	// Herschel–Bulkley: closed form and SciPy quadrature of the shear rate agree; no
	// handbook with a printed answer was found.
	hb := Gel{Consistency: 0.5, Index: 0.6, Yield: 12}
	if Q := flowOf(hb, bore, wallAt(2000)); !near(Q, 3.0659824e-4, tol) {
		t.Errorf("Herschel–Bulkley: %g m³/s; want 3.0659824e-4", Q)
	}
	for _, gradient := range []float64{1200, 1199, 600, 0} {
		if Q := flowOf(hb, bore, wallAt(gradient)); Q != 0 {
			t.Errorf("at %g Pa/m: %g m³/s; want 0", gradient, Q)
		}
	}
	// Buckingham–Reiner (formula seen in rheology texts)
	if Q := flowOf(Gel{Consistency: 0.1, Index: 1, Yield: 8}, bore, wallAt(2000)); !near(Q, 5.9715393e-4, tol) {
		t.Errorf("Bingham: %g m³/s; want 5.9715393e-4", Q)
	}
}

// Two routes: the closed form against SciPy's quadrature of τ² γ̇(τ), flow.csv.
func TestFlowRateAgainstQuadrature(t *testing.T) {
	const tol = 1e-9 // the quadrature asked for 1e-12; 30.01 − 30 Pa loses three digits
	for _, r := range readRecords(t, "flow.csv") {
		g := Gel{Consistency: r.number("consistency_pa_sn"), Index: r.number("flow_index"),
			Yield: Pressure(r.number("yield_pa"))}
		got := flowOf(g, Length(2*r.number("radius_m")), Pressure(r.number("wall_stress_pa")))
		if want := r.number("flow_m3_s"); !near(got, want, tol) {
			t.Errorf("%v: %.12g m³/s, want %.12g", r.cell, got, want)
		}
	}
}

// anyGel draws a gel as the trade may have it, and wider.
func anyGel(t *rapid.T) Gel {
	return Gel{
		Consistency: math.Exp(rapid.Float64Range(-7, 7).Draw(t, "ln K")),
		Index:       rapid.Float64Range(0.12, 1.5).Draw(t, "n"),
		Yield:       Pressure(math.Exp(rapid.Float64Range(-5, 6).Draw(t, "ln τy"))),
	}
}

func TestVelocityLimitsAreExact(t *testing.T) {
	const tol = 1e-13 // rounding of a power
	rapid.Check(t, func(t *rapid.T) {
		g := anyGel(t)
		R := rapid.Float64Range(2e-5, 1e-2).Draw(t, "R")
		τ := float64(g.Yield) * (1 + math.Exp(rapid.Float64Range(-6, 6).Draw(t, "over")))
		speed := func(g Gel) float64 { return speedOf(g, Length(2*R), Pressure(τ)) }
		K, n, y := g.Consistency, g.Index, float64(g.Yield)
		if got, want := speed(Gel{K, n, 0}), n/(3*n+1)*math.Pow(τ/K, 1/n)*R; !near(got, want, tol) {
			t.Errorf("power law: %g, want %g", got, want)
		}
		if got, want := speed(Gel{K, 1, 0}), R*τ/(4*K); !near(got, want, tol) {
			t.Errorf("Hagen–Poiseuille: %g, want %g", got, want)
		}
		// Buckingham–Reiner in its printed form cancels near the yield stress
		φ := y / τ
		if got, want := speed(Gel{K, 1, g.Yield}), R*τ/(4*K)*(1-4*φ/3+φ*φ*φ*φ/3); φ < 0.9 && !near(got, want, 1e-12) {
			t.Errorf("Buckingham–Reiner: %g, want %g", got, want)
		}
		// the printed form of the general law
		b := τ - y
		want := R * n * math.Pow(b, (n+1)/n) / (math.Pow(K, 1/n) * τ * τ * τ) *
			(b*b/(3*n+1) + 2*y*b/(2*n+1) + y*y/(n+1))
		if got := speed(g); !near(got, want, 1e-12) {
			t.Errorf("Herschel–Bulkley: %g, want %g", got, want)
		}
	})
}

func TestVelocityRisesWithStressAndFallsWithYield(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := anyGel(t)
		bore := Length(rapid.Float64Range(5e-5, 1e-3).Draw(t, "bore"))
		wall := Pressure(math.Exp(rapid.Float64Range(-4, 8).Draw(t, "ln τw")))
		speed := func(g Gel, wall Pressure) float64 { return speedOf(g, bore, wall) }
		U := speed(g, wall)
		if harder := speed(g, wall*1.01); harder < U || U > 0 && harder == U {
			t.Errorf("%g m/s at %g Pa, %g at 1 %% more", U, float64(wall), harder)
		}
		stiffer := g
		stiffer.Yield *= 1.01
		if got := speed(stiffer, wall); got > U || U > 0 && got == U {
			t.Errorf("%g m/s with a higher yield stress, %g without", got, U)
		}
		if moves := wall > g.Yield; moves != (U > 0) {
			t.Errorf("%g m/s at %g Pa with a yield stress of %g", U, float64(wall), float64(g.Yield))
		}
	})
}

func TestGelRefusesOutsideItsDomain(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, g := range []Gel{
		{0, 0.5, 5}, {-1, 0.5, 5}, {nan, 0.5, 5}, {inf, 0.5, 5}, {10, 0, 5}, {10, nan, 5}, {10, 2.1, 5},
		{10, 0.5, -1}, {10, 0.5, Pressure(nan)},
	} {
		var outside *RangeError
		if err := g.check(); !errors.As(err, &outside) {
			t.Errorf("%+v: %v; want a *RangeError", g, err)
		}
	}
	for _, tube := range []Tube{{}, {1e-4, 0}, {Length(nan), 1}} {
		if _, err := WallStress(tube, 1); err == nil {
			t.Errorf("wall stress in %+v was given", tube)
		}
	}
	if _, err := WallStress(Tube{1e-4, 1}, Pressure(nan)); err == nil {
		t.Error("a pressure difference of NaN was taken")
	}
}
