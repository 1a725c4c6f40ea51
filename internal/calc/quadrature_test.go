package calc

import (
	"errors"
	"math"
	"testing"
)

func TestIntegralsWithKnownAnswers(t *testing.T) {
	const tol = 1e-12 // double precision, some hundred terms
	tails := map[string]struct {
		f           func(float64) float64
		from, scale float64
		want        float64
	}{
		"e^−t":        {func(t float64) float64 { return math.Exp(-t) }, 0, 1, 1},
		"e^−t from 2": {func(t float64) float64 { return math.Exp(-t) }, 2, 1, math.Exp(-2)},
		"√t e^−t, Γ(3/2)": {func(t float64) float64 { return math.Sqrt(t) * math.Exp(-t) }, 0, 1,
			math.Sqrt(math.Pi) / 2},
		"e^(−t/20), scale 20": {func(t float64) float64 { return math.Exp(-t / 20) }, 0, 20, 20},
		"t/(e^t−1), π²/6":     {func(t float64) float64 { return t / math.Expm1(t) }, 0, 1, math.Pi * math.Pi / 6},
	}
	for name, c := range tails {
		got, err := integrateTail(c.f, c.from, c.scale)
		if err != nil || !near(got, c.want, tol) {
			t.Errorf("%s: %.15g, %v; want %.15g", name, got, err, c.want)
		}
	}
	spans := map[string]struct {
		f        func(float64) float64
		to, want float64
	}{
		"1":                    {func(float64) float64 { return 1 }, 3, 3},
		"√t":                   {math.Sqrt, 2, 2.0 / 3 * 2 * math.Sqrt2},
		"1/(0.001+t)":          {func(t float64) float64 { return 1 / (0.001 + t) }, 1, math.Log(1001)},
		"e^−t over a long way": {func(t float64) float64 { return math.Exp(-t) }, 40, 1},
	}
	for name, c := range spans {
		got, err := integrateSpan(c.f, c.to)
		if err != nil || !near(got, c.want, tol) {
			t.Errorf("%s: %.15g, %v; want %.15g", name, got, err, c.want)
		}
	}
}

func TestIntegralThatDoesNotSettleIsAnError(t *testing.T) {
	rough := func(t float64) float64 { return math.Sin(1e7 * t) }
	if v, err := integrateSpan(rough, 1); !errors.Is(err, ErrNotConverged) {
		t.Errorf("%g, %v; want ErrNotConverged", v, err)
	}
	undefined := func(float64) float64 { return math.NaN() }
	if v, err := integrateTail(undefined, 0, 1); !errors.Is(err, ErrNotConverged) {
		t.Errorf("%g, %v; want ErrNotConverged", v, err)
	}
}
