package calc

import "math"

// What a table says as a time and as a suction, for the checks from outside.

// ExitTime returns the time after which the liquid reaches the hub, liquid
// viscosity and the fall of the suction left out.
//
// Domain: g.Index the table's own; consistency, bore, length, suction > 0;
// yield ≥ 0. +Inf when the gel does not move. Errors: *RangeError.
func (t *exitTable) ExitTime(g Gel, tube Tube, suction Pressure) (Seconds, error) {
	if err := t.check(g, tube); err != nil {
		return 0, err
	}
	if err := positive("suction", float64(suction)); err != nil {
		return 0, err
	}
	n, R, L := t.index, float64(tube.Bore)/2, float64(tube.Length)
	τ0 := float64(suction) * R / (2 * L)
	φ := float64(g.Yield) / τ0
	switch {
	case φ >= 1:
		return Seconds(math.Inf(1)), nil
	case φ < 1e-8: // below the table: a power law
		return Seconds(L / R * math.Pow(g.Consistency/τ0, 1/n) * (3*n + 1) / (n + 1)), nil
	}
	w := t.forward.at(math.Log(φ / (1 - φ)))
	return Seconds(L / R * math.Exp((w+math.Log(g.Consistency/float64(g.Yield)))/n)), nil
}

// Suction returns the suction that brings the liquid to the hub in just that
// time: the inverse of ExitTime.
//
// Domain: as ExitTime, with yield > 0 and time > 0. Errors: *RangeError.
func (t *exitTable) Suction(g Gel, tube Tube, time Seconds) (Pressure, error) {
	if err := t.check(g, tube); err != nil {
		return 0, err
	}
	if err := positive("yield stress", float64(g.Yield)); err != nil {
		return 0, err
	}
	if err := positive("time", float64(time)); err != nil {
		return 0, err
	}
	point := gelPoint{lnK: math.Log(g.Consistency), lnYield: math.Log(float64(g.Yield))}
	return Pressure(math.Exp(t.lnSuction(point, tube.lnAspect(), math.Log(float64(time))))), nil
}

func (t *exitTable) check(g Gel, tube Tube) error {
	if g.Index != t.index {
		return &RangeError{Name: "flow index", Value: g.Index, Want: "the index the table was made for"}
	}
	if err := positive("consistency", g.Consistency); err != nil {
		return err
	}
	if err := notNegative("yield stress", float64(g.Yield)); err != nil {
		return err
	}
	return Setup{Tube: tube, Gas: SuppliedGas}.check()
}
