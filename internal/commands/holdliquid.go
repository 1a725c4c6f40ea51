package commands

import (
	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// largeLiquidShare is the share of the time, due to the liquid behind the gel,
// from which on a thinner bench liquid is no fair stand-in for blood (the
// project's choice: the share then still moves a time by less than a tester's
// hand does).
const largeLiquidShare = 0.05

// milkIsFair reports whether milk is a fair stand-in for blood here.
func milkIsFair(e *knowledge.Evidence, o outlook) bool { return liquidShare(e, o) < largeLiquidShare }

// liquidShare is about how much of the time until half have shown is due to the
// resistance of blood itself rather than the gel's.
//
// The blood's own part is taken from the closed form for two Newtonian liquids,
// 4 μ L²/(R² Δp). For a shear-thinning gel that is low by up to half, for such a
// gel slows down by more than the suction that the blood takes away; good enough
// for a warning, and for nothing else. 0 where it cannot be told.
func liquidShare(e *knowledge.Evidence, o outlook) float64 {
	suction, err := calc.Draw{Pull: e.Pull, Gas: e.Setup.Gas}.Suction()
	if err != nil {
		return 0
	}
	blood, err := calc.NewtonianExitTime(e.Setup.Tube, calc.WholeBlood, 0, suction)
	if err != nil || !(o.half > 0) {
		return 0
	}
	return min(1, float64(blood)/o.half)
}
