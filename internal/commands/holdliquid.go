package commands

import (
	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// largeLiquidShare is the share of the time taken by the liquid behind the gel from which on a thinner bench liquid no
// longer fairly stands in for blood (the project's choice: such a share still changes a time by less than a tester's
// hand does).
const largeLiquidShare = 0.05

// milkIsFair reports whether milk fairly stands in for blood here.
func milkIsFair(e *knowledge.Evidence, o outlook) bool { return liquidShare(e, o) < largeLiquidShare }

// liquidShare estimates how much of the time until half have shown is due to the resistance of blood rather than of the
// gel, 0 to 1. It is 0 where it cannot be computed.
//
// The blood's part comes from the closed form for two Newtonian liquids, 4 μ L²/(R² Δp). For a shear-thinning gel that
// is too low by up to half, because such a gel slows down by more than the suction that the blood takes up. It is good
// enough for a warning and for nothing else.
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
