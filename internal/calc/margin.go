package calc

import "math"

// margin is the distribution of how far, in ln(suction), a set-up lies above what it takes to show
// by a certain time: a histogram over the possible products, tubes and departures, and a mixture
// of normal distributions that is still added to each of its places.
type margin struct {
	mass  [2 * marginReach * marginBins]float64 // adding up to 1
	added []addition                            // shares adding up to 1
	test  float64                               // spread of one test around its combination
}

// addition is one normal distribution around 0 of a mixture.
type addition struct{ share, sd float64 }

// How far the histogram reaches either way, in ln(suction), and its bins to 1: beyond its reach
// every share is 0 or 1. A mass is divided between the two nearest places, which keeps its mean.
// The variance that this adds, up to 1/(4 marginBins²) = 2.5e-5, is under a hundredth of
// lotSpread² = 4.9e-3.
const (
	marginReach = 4
	marginBins  = 100
)

// place is where the k-th mass of the histogram lies.
func (m *margin) place(k int) float64 { return float64(k)/marginBins - marginReach }

// add puts mass where the margin is x.
func (m *margin) add(x, mass float64) {
	u := (x + marginReach) * marginBins
	switch {
	case !(u > 0):
		m.mass[0] += mass
	case u >= float64(len(m.mass)-1):
		m.mass[len(m.mass)-1] += mass
	default:
		k := int(u)
		part := mass * (u - float64(k))
		m.mass[k] += mass - part
		m.mass[k+1] += part
	}
}

// normalise makes the masses add up to 1.
func (m *margin) normalise() {
	var sum float64
	for _, mass := range m.mass {
		sum += mass
	}
	for k := range m.mass {
		m.mass[k] /= sum
	}
}

// mean returns the mean of Φ(margin/sd).
func (m *margin) mean(sd float64) (sum float64) {
	table := phi()
	for _, a := range m.added {
		both := math.Hypot(sd, a.sd)
		for k, mass := range m.mass {
			if mass > 0 {
				sum += a.share * mass * table.at(m.place(k)/both)
			}
		}
	}
	return min(sum, 1)
}

// share returns the part of tests that show.
func (m *margin) share() float64 { return m.mean(m.test) }

// below returns the probability that the margin is below q.
func (m *margin) below(q float64) (sum float64) {
	table := phi()
	for _, a := range m.added {
		for k, mass := range m.mass {
			if mass > 0 {
				sum += a.share * mass * table.at((q-m.place(k))/a.sd)
			}
		}
	}
	return min(sum, 1)
}

// quantile returns the margin's p-quantile.
func (m *margin) quantile(p float64) float64 {
	const reach = marginReach + 5*oddSpread
	return solveRising(func(q float64) float64 { return m.below(q) - p }, end{-reach, -p}, end{reach, 1 - p}, 1e-4)
}

// quantileShare returns the part of tests that show at the margin's p-quantile.
func (m *margin) quantileShare(p float64) float64 { return phi().at(m.quantile(p) / m.test) }

// moments returns the margin's mean and variance.
func (m *margin) moments() (mean, variance float64) {
	var second float64
	for k, mass := range m.mass {
		mean += mass * m.place(k)
		second += mass * square(m.place(k))
	}
	for _, a := range m.added {
		second += a.share * square(a.sd)
	}
	return mean, second - mean*mean
}

// end is one end of a bracket: a place, and the function's value there.
type end struct{ x, y float64 }

// solveRising returns where a rising function, below zero at lo and above at hi, crosses zero, once
// a step moves the place by less than the tolerance. It is regula falsi with the value at an end
// that stays put halved: the Illinois rule (Dowell, Jarratt, BIT 11 (1971) 168, from memory).
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
