package calc

import "math"

// Gel is a yield-stress, shear-thinning gel after Herschel and Bulkley: it does
// not flow until the stress passes its yield stress, and then the thinner the
// faster it is sheared.
//
//	τ = τy + K γ̇ⁿ
//
// Yield 0 makes it a power-law liquid, Index 1 a Bingham plastic, both together
// a Newtonian liquid of viscosity Consistency.
type Gel struct {
	Consistency float64  // K, Pa·sⁿ
	Index       float64  // n; below 1 thins with shear
	Yield       Pressure // τy
}

// The gels that the package computes with. Far wider than any filler; inside
// them no power overflows.
const (
	leastConsistency = 1e-6
	mostConsistency  = 1e6
	leastIndex       = 0.05
	mostIndex        = 2
	mostYield        = 1e6
)

// Speed is a speed in metres per second.
type Speed float64

// VolumeFlow is a volume per time in cubic metres per second.
type VolumeFlow float64

// ShearStress returns the stress that it takes to shear the gel at a rate, in 1/s;
// at rate 0 the yield stress.
//
//	τ = τy + K γ̇ⁿ
//
// Domain:   the gel's own: 1e-6 ≤ K ≤ 1e6, 0.05 ≤ n ≤ 2, 0 ≤ τy ≤ 1e6 Pa;
// 0 ≤ rate ≤ 1e9.
// Accuracy: rounding only.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   Herschel, Bulkley, Kolloid-Z 39 (1926) 291.
func (g Gel) ShearStress(rate float64) (Pressure, error) {
	if err := g.check(); err != nil {
		return 0, err
	}
	if !(rate >= 0) || rate > 1e9 {
		return 0, &RangeError{Name: "shear rate", Value: rate, Want: "0 to 1e9 1/s"}
	}
	return g.Yield + Pressure(g.Consistency*math.Pow(rate, g.Index)), nil
}

// WallStress returns the shear stress at the wall of a tube that one material
// fills, with a pressure difference from end to end.
//
//	τw = Δp R / (2 L)
//
// Domain:   both sides of the tube above 0, drop ≥ 0; fully developed flow.
// Accuracy: exact for the model; entry losses are left out.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   a force balance; Chhabra, Richardson, Non-Newtonian Flow and
// Applied Rheology, 2nd ed., ch. 3.
func WallStress(tube Tube, drop Pressure) (Pressure, error) {
	if err := tube.check(); err != nil {
		return 0, err
	}
	if err := notNegative("pressure difference", float64(drop)); err != nil {
		return 0, err
	}
	return drop * Pressure(tube.Bore/(4*tube.Length)), nil
}

// MeanVelocity returns the mean velocity of the gel in a tube of that bore at
// that wall stress, 0 where the wall stress does not pass the yield stress.
//
//	U = R n (τw−τy)^((n+1)/n) / (K^(1/n) τw³) ·
//	    [ (τw−τy)²/(3n+1) + 2 τy (τw−τy)/(2n+1) + τy²/(n+1) ]
//
// Domain:   the gel's own, as ShearStress; bore 1e-9 to 1e6 m; wall ≥ 0.
// Accuracy: rounding only; exact limits: power law for τy = 0,
// Buckingham–Reiner for n = 1, Hagen–Poiseuille for both.
// Errors:   *RangeError naming the argument outside the domain, or the wall
// stress if the velocity is too large for a number.
// Source:   Chhabra, Richardson, Non-Newtonian Flow and Applied Rheology,
// 2nd ed., ch. 3.
func (g Gel) MeanVelocity(bore Length, wall Pressure) (Speed, error) {
	if err := g.checkAt(bore, wall); err != nil {
		return 0, err
	}
	U := g.velocity(float64(bore)/2, float64(wall-g.Yield))
	if !(U <= maxFinite) {
		return 0, &RangeError{Name: "wall stress", Value: float64(wall), Want: "one that gives a finite velocity"}
	}
	return Speed(U), nil
}

// FlowRate returns the volume of gel per second through a tube of that bore at
// that wall stress, 0 where the wall stress does not pass the yield stress.
//
//	Q = π R² U
//
// Domain:   as MeanVelocity.
// Accuracy: as MeanVelocity.
// Errors:   as MeanVelocity.
// Source:   as MeanVelocity.
func (g Gel) FlowRate(bore Length, wall Pressure) (VolumeFlow, error) {
	U, err := g.MeanVelocity(bore, wall)
	if err != nil {
		return 0, err
	}
	R := float64(bore) / 2
	return VolumeFlow(math.Pi * R * R * float64(U)), nil
}

// PlugRadius returns the radius of the core that moves as a plug because the
// stress there stays below the yield stress: the whole radius where the gel
// does not move at all.
//
//	rp = R τy / τw
//
// Domain:   as MeanVelocity.
// Accuracy: rounding only.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   as MeanVelocity.
func (g Gel) PlugRadius(bore Length, wall Pressure) (Length, error) {
	if err := g.checkAt(bore, wall); err != nil {
		return 0, err
	}
	if wall <= g.Yield {
		return bore / 2, nil
	}
	return bore / 2 * Length(g.Yield/wall), nil
}

// check returns a *RangeError naming what about the gel is outside the domain.
func (g Gel) check() error {
	if !(g.Consistency >= leastConsistency) || g.Consistency > mostConsistency {
		return &RangeError{Name: "consistency", Value: g.Consistency, Want: "1e-6 to 1e6 Pa·sⁿ"}
	}
	if !(g.Index >= leastIndex) || g.Index > mostIndex {
		return &RangeError{Name: "flow index", Value: g.Index, Want: "0.05 to 2"}
	}
	if !(g.Yield >= 0) || g.Yield > mostYield {
		return &RangeError{Name: "yield stress", Value: float64(g.Yield), Want: "0 to 1e6 Pa"}
	}
	return nil
}

// checkAt is check, with the bore and the wall stress.
func (g Gel) checkAt(bore Length, wall Pressure) error {
	if err := g.check(); err != nil {
		return err
	}
	if err := checkSide("bore", bore); err != nil {
		return err
	}
	return notNegative("wall stress", float64(wall))
}

// velocity is MeanVelocity for arguments already checked: R in metres, b = τw − τy
// in pascals. Written with the sheared part β = b/τw of the stress, so that
// nothing cancels near the yield stress.
func (g Gel) velocity(R, b float64) float64 {
	if b <= 0 {
		return 0
	}
	n := g.Index
	β := b / (b + float64(g.Yield))
	return R * n * math.Pow(b/g.Consistency, 1/n) * β * profile(n, 1-β, β)
}

// profile is the bracket of MeanVelocity over τw², from the plug's share φ of
// the radius and the sheared share β = 1 − φ.
func profile(n, φ, β float64) float64 {
	return β*β/(3*n+1) + 2*φ*β/(2*n+1) + φ*φ/(n+1)
}
