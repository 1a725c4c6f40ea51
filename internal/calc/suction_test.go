package calc

import (
	"errors"
	"math"
	"testing"
)

const Kilopascal Pressure = 1e3

func TestSuctionFollowsBoyle(t *testing.T) {
	for _, c := range []struct {
		gas, all, kPa float64 // mL before, mL after, kPa of vacuum
	}{
		{0.10, 0.60, 84.44}, {0.05, 0.25, 81.06}, // arithmetic: 101.325 (1 − before/after)
	} {
		d := Draw{Pull: Volume(c.all-c.gas) * Millilitre, Gas: Volume(c.gas) * Millilitre}
		got, err := d.Suction()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(got/Kilopascal)-c.kPa) > 0.005 { // the printed digits
			t.Errorf("%g to %g mL: %.3f kPa, want %.2f", c.gas, c.all, float64(got/Kilopascal), c.kPa)
		}
	}
}

func TestSuctionStopsAtTheVapourPressure(t *testing.T) {
	floor := AtmosphericPressure - WaterVapourPressure
	for _, d := range []Draw{
		{Pull: DefaultPull, Gas: 0},
		{Pull: 10 * Millilitre, Gas: 0.01 * Millilitre},
	} {
		if got, err := d.Suction(); err != nil || got != floor {
			t.Errorf("%+v: %g, %v; want %g", d, float64(got), err, float64(floor))
		}
	}
	// a pressure at the tip comes on top
	d := Draw{Pull: DefaultPull, Gas: 0, Source: 20 * Kilopascal}
	if got, err := d.Suction(); err != nil || got != floor+20*Kilopascal {
		t.Errorf("with 20 kPa at the tip: %g, %v", float64(got), err)
	}
}

// IAPWS-IF97 prints 3536.589 Pa at 300 K (seen) and gives 2339.2 Pa at 20 °C
// (library). Between the two, Clausius and Clapeyron with a heat of evaporation of
// 2.44 MJ/kg (handbook value, from memory) and 461.5 J/(kg K) must hold.
func TestVapourPressureIsThatOfWaterAt20Degrees(t *testing.T) {
	if math.Abs(float64(WaterVapourPressure)-2339.2) > 0.5 { // kept to whole pascals
		t.Errorf("%g Pa, want 2339.2", float64(WaterVapourPressure))
	}
	at300 := float64(WaterVapourPressure) * math.Exp(2.44e6/461.5*(1/293.15-1/300.0))
	if !near(at300, 3536.589, 0.005) { // 2.44 MJ/kg is known to half a percent
		t.Errorf("carried to 300 K: %.1f Pa, want 3536.6", at300)
	}
}

func TestSuctionFallsAsLiquidComesIn(t *testing.T) {
	d := Draw{Pull: 0.02 * Millilitre, Gas: 0.01 * Millilitre, Source: 1500}
	before := Pressure(math.Inf(1))
	for i := range 20 {
		drawn := Volume(i) * 0.001 * Millilitre
		got := Pressure(d.suction(float64(drawn)))
		if !(got < before) {
			t.Errorf("%g mL in: %g Pa, no less than before", drawn.Millilitres(), float64(got))
		}
		before = got
	}
	// once the pull is made up for, only the pressure at the tip is left
	if got := d.suction(float64(d.Pull)); !near(got, 1500, 1e-9) {
		t.Errorf("pull made up: %g Pa, want 1500", got)
	}
}

func TestSuctionRefusesWhatItCannotDo(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, d := range []Draw{
		{Pull: Volume(nan), Gas: 1}, {Pull: 1, Gas: -1}, {Pull: Volume(inf), Gas: 1},
		{Pull: 1, Gas: 1, Source: Pressure(nan)}, {Pull: 1, Gas: 1, Source: Pressure(-inf)}, {},
	} {
		var outside *RangeError
		if got, err := d.Suction(); !errors.As(err, &outside) || got != 0 {
			t.Errorf("%+v: %g, %v; want a *RangeError", d, float64(got), err)
		}
	}
}
