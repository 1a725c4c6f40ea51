package calc

import (
	"cmp"
	"math"
)

// Gel is a yield-stress, shear-thinning gel after Herschel and Bulkley. It does not flow until
// the stress passes its yield stress; then it gets thinner the faster it is sheared.
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

// The range of gels that the package computes with, far wider than any filler. Inside it no
// power overflows.
const (
	leastConsistency = 1e-6
	mostConsistency  = 1e6
	leastIndex       = 0.05
	mostIndex        = 2
	mostYield        = 1e6
)

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

// check returns a *RangeError naming what about the gel is outside the domain.
func (g Gel) check() error {
	return cmp.Or(
		within("consistency", g.Consistency, leastConsistency, mostConsistency, "1e-6 to 1e6 Pa·sⁿ"),
		within("flow index", g.Index, leastIndex, mostIndex, "0.05 to 2"),
		within("yield stress", float64(g.Yield), 0, mostYield, "0 to 1e6 Pa"))
}

// velocity returns the mean velocity in m/s of the gel in a tube of radius R metres
// whose wall stress passes the yield stress by b = τw − τy pascals, 0 where b ≤ 0.
//
//	U = R n (τw−τy)^((n+1)/n) / (K^(1/n) τw³) ·
//	    [ (τw−τy)²/(3n+1) + 2 τy (τw−τy)/(2n+1) + τy²/(n+1) ]
//
// Domain:   checked by the caller. The code uses the sheared part β = b/τw of the stress, so
// that nothing cancels near the yield stress.
// Accuracy: rounding only; exact limits: power law for τy = 0,
// Buckingham–Reiner for n = 1, Hagen–Poiseuille for both.
// Source:   Chhabra, Richardson, Non-Newtonian Flow and Applied Rheology,
// 2nd ed., ch. 3.
func (g Gel) velocity(R, b float64) float64 {
	if b <= 0 {
		return 0
	}
	n := g.Index
	β := b / (b + float64(g.Yield))
	return R * n * math.Pow(b/g.Consistency, 1/n) * β * profile(n, 1-β, β)
}

// profile is the bracket of velocity over τw²: B(φ) = β²/(3n+1) + 2φβ/(2n+1) + φ²/(n+1). φ is the
// plug's part of the radius, β = 1 − φ the sheared part.
func profile(n, φ, β float64) float64 {
	return β*β/(3*n+1) + 2*φ*β/(2*n+1) + φ*φ/(n+1)
}
