package calc

import (
	"errors"
	"math"
	"testing"
)

func TestExitTimeRefusesOutsideItsDomain(t *testing.T) {
	nan := math.NaN()
	gel, tube, draw := Gel{Consistency: 40, Index: 0.4, Yield: 10}, Tube{1e-4, 1e-2},
		Draw{Pull: DefaultPull, Gas: SuppliedGas}
	var outside *RangeError
	for _, c := range []struct {
		g Gel
		t Tube
		d Draw
		μ Viscosity
	}{
		{Gel{0, 0.4, 10}, tube, draw, 0}, {gel, Tube{}, draw, 0}, {gel, Tube{1e-4, Length(nan)}, draw, 0},
		{gel, tube, Draw{Pull: -1}, 0}, {gel, tube, Draw{}, 0}, {gel, tube, Draw{Pull: 1, Gas: Volume(nan)}, 0},
		{gel, tube, draw, -1}, {gel, tube, draw, Viscosity(nan)}, {gel, tube, draw, Viscosity(math.Inf(1))},
	} {
		if exit, err := ExitTime(c.g, c.t, c.d, c.μ); !errors.As(err, &outside) || exit != (Exit{}) {
			t.Errorf("%+v: %+v, %v; want a *RangeError", c, exit, err)
		}
	}
	for _, c := range []struct {
		g Gel
		t Tube
		p Pressure
	}{{Gel{0, 0.4, 10}, tube, 1e4}, {gel, Tube{}, 1e4}, {gel, tube, -1}, {gel, tube, Pressure(nan)}} {
		if exit, err := GelOnlyExitTime(c.g, c.t, c.p); !errors.As(err, &outside) || exit != (Exit{}) {
			t.Errorf("%+v: %+v, %v; want a *RangeError", c, exit, err)
		}
	}
	for _, c := range []struct {
		t    Tube
		a, b Viscosity
		p    Pressure
	}{{Tube{}, 1, 1, 1}, {tube, -1, 1, 1}, {tube, 1, Viscosity(nan), 1}, {tube, 1, 1, 0}} {
		if got, err := NewtonianExitTime(c.t, c.a, c.b, c.p); !errors.As(err, &outside) || got != 0 {
			t.Errorf("%+v: %g, %v; want a *RangeError", c, float64(got), err)
		}
	}
}

func FuzzExitTime(f *testing.F) {
	f.Add(1.65e-4, 0.018, 45.0, 0.36, 30.0, 2e-3, 3e-8, 1e-7, 0.0)
	f.Add(4.4e-4, 0.043, 3.0, 0.55, 1.0, 0.5, 3e-8, 6.56e-9, 0.0)
	f.Add(1.05e-4, 0.018, 85.0, 0.32, 140.72, 2e-3, 5e-9, 1e-7, 1500.0)
	f.Add(4.4e-4, 0.043, 20.0, 0.45, 10.0, 2e-3, 2.3e-9, 1e-7, 0.0)
	f.Fuzz(func(t *testing.T, bore, length, K, n, yield, μ, gas, pull, source float64) {
		gel, tube := Gel{K, n, Pressure(yield)}, Tube{Length(bore), Length(length)}
		exit, err := ExitTime(gel, tube, Draw{Volume(pull), Volume(gas), Pressure(source)}, Viscosity(μ))
		checkExit(t, exit, err)
		only, err := GelOnlyExitTime(gel, tube, Pressure(source))
		checkExit(t, only, err)
	})
}

// checkExit fails unless an exit, or its error, is what the functions promise.
func checkExit(t *testing.T, exit Exit, err error) {
	t.Helper()
	if err != nil {
		var outside *RangeError
		if !errors.As(err, &outside) || exit != (Exit{}) {
			t.Errorf("%+v with the error %v", exit, err)
		}
		return
	}
	if !(exit.Time >= 0) || math.IsInf(float64(exit.Suction), 0) || math.IsNaN(float64(exit.Suction)) ||
		!(exit.LiquidShare >= 0) || exit.LiquidShare > 1 {
		t.Errorf("%+v", exit)
	}
}

func BenchmarkExitTimeFull(b *testing.B) {
	gel, tube := Gel{Consistency: 45, Index: 0.36, Yield: 30}, Tube{0.165 * Millimetre, 18 * Millimetre}
	draw := Draw{Pull: DefaultPull, Gas: SuppliedGas}
	for b.Loop() {
		if _, err := ExitTime(gel, tube, draw, WholeBlood); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkExitTimeFullHardest(b *testing.B) { // a spent suction, a syrup behind
	gel, tube := Gel{Consistency: 3, Index: 0.55, Yield: 1}, Tube{0.44 * Millimetre, 43 * Millimetre}
	draw := Draw{Pull: 0.00656 * Millilitre, Gas: SuppliedGas}
	for b.Loop() {
		if _, err := ExitTime(gel, tube, draw, 0.5); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkExitTimeGelOnly(b *testing.B) {
	gel, tube := Gel{Consistency: 45, Index: 0.36, Yield: 30}, Tube{0.165 * Millimetre, 18 * Millimetre}
	for b.Loop() {
		if _, err := GelOnlyExitTime(gel, tube, 75*Kilopascal); err != nil {
			b.Fatal(err)
		}
	}
}
