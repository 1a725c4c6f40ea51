package calc

import (
	"cmp"
	"math"
)

// exitTolerance is the relative accuracy asked of every exit time.
const exitTolerance = 1e-9

// suctionSpent is the part of the first suction below which the suction counts as used up. Below
// it rounding would decide.
const suctionSpent = 1e-12

// Exit is how a gel leaves its tube ahead of the liquid that follows it in.
type Exit struct {
	Time        Seconds  // until the liquid reaches the hub; +Inf if it never does, or not within 1e308 s
	Suction     Pressure // at the start
	LiquidShare float64  // the part of Time that is due to the liquid's own resistance; 0 if never
}

// Never reports whether the liquid never reaches the hub.
func (e Exit) Never() bool { return math.IsInf(float64(e.Time), 1) }

// ExitTime returns when the liquid that follows a gel back along a tube reaches
// the hub: the full model, for explaining. The suction falls as liquid comes in,
// and the liquid resists as well as the gel.
//
//	T = ∫₀ᴸ dx/U   with   Δp(x) = 8 μ x U/R² + 2 τw (L−x)/R,   U = U(τw)
//
// The front never starts if Δp R/(2L) ≤ τy. Once started it stops part-way only where the suction
// is used up: Δp(x) is concave in x, and what the yield stress holds back, 2 τy (L−x)/R, is a
// straight line. So a front that still has suction at the hub moves all the way.
//
// Domain:   the gel's, tube's and pull's own; liquid ≥ 0, up to 1e6 Pa·s.
// Accuracy: 1e-9 relative, as the integral. The model leaves out what doc.go lists.
// Errors:   *RangeError naming the argument outside the domain;
// ErrNotConverged.
// Source:   Gel.velocity with a piston-like front, as Washburn, Phys Rev 17
// (1921) 273, does for one Newtonian liquid with an outside pressure.
func ExitTime(gel Gel, tube Tube, draw Draw, liquid Viscosity) (Exit, error) {
	f, err := newFront(gel, tube, draw, liquid)
	if err != nil {
		return Exit{}, err
	}
	exit := Exit{Suction: Pressure(f.Δp0), Time: Seconds(math.Inf(1))}
	if f.stops() {
		return exit, nil
	}
	time, err := f.time()
	if err != nil {
		return Exit{}, err
	}
	exit.Time = Seconds(time)
	if f.μ == 0 || exit.Never() {
		return exit, nil
	}
	f.μ = 0
	alone, err := f.time()
	if err != nil {
		return Exit{}, err
	}
	exit.LiquidShare = max(0, 1-alone/time)
	return exit, nil
}

// GelOnlyExitTime returns the exit time with a liquid that does not resist and a
// suction that does not fall: the model that estimates are made with.
//
//	T = (L/R) (K/τ0)^(1/n) G(φ, n),   τ0 = Δp R/(2L),   φ = τy/τ0
//	G = ∫₀¹ u^(1/n) / ( n (1−φu)^(1+1/n) B(φu) ) du
//	B(v) = (1−v)²/(3n+1) + 2v(1−v)/(2n+1) + v²/(n+1)
//
// The integral is computed after the substitution e^(−nt) = u(1−φ)/(1−φu), which takes its whole
// growth near φ = 1 out of it (see gelOnlyShape). T is +Inf for φ ≥ 1.
//
// Domain:   the gel's and tube's own; suction ≥ 0.
// Accuracy: 1e-9 relative, whatever φ; as exact as 1 − φ itself can be known.
// Errors:   *RangeError naming the argument outside the domain;
// ErrNotConverged.
// Source:   as ExitTime; φ = 0 has the closed form G = (3n+1)/(n+1).
func GelOnlyExitTime(gel Gel, tube Tube, suction Pressure) (Exit, error) {
	if err := gel.check(); err != nil {
		return Exit{}, err
	}
	τ0, err := WallStress(tube, suction)
	if err != nil {
		return Exit{}, err
	}
	exit := Exit{Suction: suction, Time: Seconds(math.Inf(1))}
	if τ0 <= gel.Yield {
		return exit, nil
	}
	φ, n := float64(gel.Yield/τ0), gel.Index
	shape, err := gelOnlyShape(φ, float64((τ0-gel.Yield)/τ0), n)
	if err != nil {
		return Exit{}, err
	}
	scale := float64(2*tube.Length/tube.Bore) * math.Pow(gel.Consistency/float64(τ0-gel.Yield), 1/n)
	exit.Time = Seconds(scale * shape)
	return exit, nil
}

// gelOnlyShape returns (1−φ)^(1/n) G(φ, n), which runs from (3n+1)/(n+1) at φ = 0 to n+1 at
// φ = 1. rest is 1 − φ, which the caller knows more exactly near φ = 1.
//
//	(1−φ)^(1/n) G = ∫₀^∞ e^(−t) u / B(φu) dt,   u = 1/(φ + (1−φ) e^(nt))
func gelOnlyShape(φ, rest, n float64) (float64, error) {
	if φ == 0 {
		return (3*n + 1) / (n + 1), nil
	}
	return integrateTail(func(t float64) float64 {
		e := math.Exp(-n * t)
		d := φ*e + rest
		return math.Exp(-t) * (e / d) / profile(n, φ*e/d, rest/d)
	}, 0, 1)
}

// NewtonianExitTime returns the exit time of one Newtonian liquid drawn back by
// a steady suction with another behind it.
//
//	T = 4 L² (μ_liquid + μ_gel) / (R² Δp)
//
// Domain:   both sides of the tube above 0; viscosities ≥ 0; suction > 0.
// Accuracy: rounding only.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   Washburn, Phys Rev 17 (1921) 273, with an outside pressure in place
// of the capillary one.
func NewtonianExitTime(tube Tube, liquid, gel Viscosity, suction Pressure) (Seconds, error) {
	err := cmp.Or(tube.check(), notNegative("viscosity of the liquid", float64(liquid)),
		notNegative("viscosity of the gel", float64(gel)), positive("suction", float64(suction)))
	if err != nil {
		return 0, err
	}
	slender := float64(2 * tube.Length / tube.Bore)
	return Seconds(4 * slender * slender * float64(liquid+gel) / float64(suction)), nil
}
