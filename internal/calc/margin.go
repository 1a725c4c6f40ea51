package calc

import (
	"math"
	"slices"
)

// margin is how far, in ln(suction), a set-up lies above what it takes to show
// by a certain time: at each possible product of the estimate the model's value,
// to which the set-up's own departure adds.
type margin struct {
	weight    []float64
	model     []float64
	departure departure
	spread    float64 // of one test around its combination
}

// share is the part of tests that show: the mean of Φ(margin/spread).
func (m margin) share() float64 {
	var sum float64
	for i, w := range m.weight {
		sum += w * m.departure.share(i, m.model[i])
	}
	return min(sum, 1)
}

// below is the probability that the margin is below q.
func (m margin) below(q float64) float64 {
	var sum float64
	for i, w := range m.weight {
		sum += w * m.departure.below(i, q-m.model[i])
	}
	return sum
}

// quantileShare is the part of tests that show at the margin's p-quantile.
func (m margin) quantileShare(p float64) float64 {
	lo, hi := m.reach()
	q := solveRising(func(q float64) float64 { return m.below(q) - p }, end{lo, -p}, end{hi, 1 - p}, 1e-4)
	return phi().at(q / m.spread)
}

// reach returns limits that hold all but a part in a million of the margin.
func (m margin) reach() (lo, hi float64) {
	lo, hi = m.departure.reach()
	return lo + slices.Min(m.model), hi + slices.Max(m.model)
}

// moments returns the margin's mean and variance.
func (m margin) moments() (mean, variance float64) {
	var second float64
	for i, w := range m.weight {
		d, v := m.departure.moments(i)
		x := m.model[i] + d
		mean += w * x
		second += w * (x*x + v)
	}
	return mean, second - mean*mean
}

// end is one end of a bracket: a place, and the function's value there.
type end struct{ x, y float64 }

// solveRising returns where a rising function, below zero at lo and above at hi,
// crosses it, once a step moves the place by less than the tolerance: regula
// falsi, the end that stays put weighted down (the Illinois rule; Dowell,
// Jarratt, BIT 11 (1971) 168, from memory).
func solveRising(f func(float64) float64, lo, hi end, tol float64) float64 {
	x := math.Inf(1)
	side := 0
	for range 100 {
		before := x
		x = (lo.x*hi.y - hi.x*lo.y) / (hi.y - lo.y)
		// On a flat stretch the secant creeps along one end: then halve.
		if creep := 0.01 * (hi.x - lo.x); !(x > lo.x+creep) || !(x < hi.x-creep) {
			x = (lo.x + hi.x) / 2
		}
		y := f(x)
		switch {
		case math.Abs(x-before) < tol || y == 0:
			return x
		case y < 0:
			lo = end{x, y}
			if side < 0 {
				hi.y /= 2
			}
			side = -1
		default:
			hi = end{x, y}
			if side > 0 {
				lo.y /= 2
			}
			side = 1
		}
	}
	return x
}
