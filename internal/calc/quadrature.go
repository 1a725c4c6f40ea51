package calc

import (
	"errors"
	"math"
)

// ErrNotConverged says that a computation did not reach its tolerance. No
// argument inside the stated domains is known to cause it.
var ErrNotConverged = errors.New("the computation did not converge")

// mostHalvings is the number of halvings of the step after which an integral gives up.
const mostHalvings = 9

// integrateTail returns ∫ f(t) dt over t ≥ from, for a smooth f that falls off
// like e^(−t/scale) or faster.
//
// Double-exponential quadrature with t = from + exp(s − e^(−s)), the trapezoidal
// rule in s: Takahasi, Mori, Publ. RIMS 9 (1974) 721; Mori, Sugihara,
// J Comput Appl Math 127 (2001) 287, for this map.
func integrateTail(f func(float64) float64, from, scale float64) (float64, error) {
	return trapezoid(func(s float64) float64 {
		back := math.Exp(-s)
		t := math.Exp(s - back)
		return f(from+t) * t * (1 + back)
	}, -3.6, math.Log(75*scale))
}

// integrateSpan returns ∫ f(t) dt over 0 ≤ t ≤ to, for f smooth inside.
//
// Double-exponential quadrature with t = to/(1 + exp(−π sinh s)), same source.
func integrateSpan(f func(float64) float64, to float64) (float64, error) {
	return trapezoid(func(s float64) float64 {
		tail := math.Exp(-math.Pi * math.Sinh(s))
		p := 1 / (1 + tail)
		return f(to*p) * to * math.Pi * math.Cosh(s) * p * p * tail
	}, -3.3, 3.3)
}

// trapezoid sums f over from … to with ever smaller steps until two sums agree to exitTolerance.
// For a smooth f the error about squares with each halving, so it is then far below their
// difference. A sum that overflows is +Inf.
func trapezoid(f func(float64) float64, from, to float64) (float64, error) {
	steps := int(math.Ceil(2 * (to - from)))
	h := (to - from) / float64(steps)
	sum := (f(from) + f(to)) / 2
	for i := 1; i < steps; i++ {
		sum += f(from + h*float64(i))
	}
	value := sum * h
	for range mostHalvings {
		for i := range steps {
			sum += f(from + h*(float64(i)+0.5))
		}
		steps, h = 2*steps, h/2
		before := value
		value = sum * h
		if math.IsInf(value, 1) || math.Abs(value-before) <= exitTolerance*math.Abs(value) {
			return value, nil
		}
	}
	return 0, ErrNotConverged
}
