package calc

import "math"

// departure is what is known of δ, a set-up's own departure from the model in
// ln(suction), at each possible product of an estimate.
type departure interface {
	// share is the mean of Φ((x+δ)/spread) over δ at point i.
	share(i int, x float64) float64
	// below is the probability that δ is below d at point i.
	below(i int, d float64) float64
	// moments are δ's mean and variance at point i.
	moments(i int) (mean, variance float64)
	// each goes through δ at point i in steps, with the probability of each.
	each(i int, visit func(δ, mass float64))
	// reach holds all of δ but a part in a million.
	reach() (lo, hi float64)
}

// untestedDeparture is that of a set-up nobody tested: δ's prior.
type untestedDeparture struct {
	sd   float64 // of δ
	both float64 // of δ and one test's spread together
}

func newUntestedDeparture(s Spread) untestedDeparture {
	return untestedDeparture{sd: s.Combination, both: math.Hypot(s.Combination, s.oneTest())}
}

func (u untestedDeparture) share(_ int, x float64) float64       { return phi().at(x / u.both) }
func (u untestedDeparture) below(_ int, d float64) float64       { return phi().at(d / u.sd) }
func (u untestedDeparture) moments(int) (mean, variance float64) { return 0, square(u.sd) }
func (u untestedDeparture) reach() (lo, hi float64)              { return -5 * u.sd, 5 * u.sd }

func (u untestedDeparture) each(_ int, visit func(δ, mass float64)) {
	const steps, reach = 6, 3.6 // on either side; standard deviations
	total := 0.0
	for k := -steps; k <= steps; k++ {
		total += math.Exp(lnNormal(float64(k)*reach/steps, normal{0, 1}))
	}
	for k := -steps; k <= steps; k++ {
		z := float64(k) * reach / steps
		visit(z*u.sd, math.Exp(lnNormal(z, normal{0, 1}))/total)
	}
}

// testedDeparture is that of a tested set-up: at each point a histogram on the
// set-up's grid, kept only where it matters.
type testedDeparture struct {
	grid   deltaGrid
	spread float64 // of one test around its combination
	rows   []deltaRow
}

// deltaRow is one point's histogram: mass adds up to 1, and below holds the
// probability of δ below each grid line. Both have empty lines at either end.
type deltaRow struct {
	first       int // grid line of mass[0]; may lie before the grid
	mass, below []float64
}

// A row drops what is smaller than this part of its largest mass.
const leastMass = 1e-4

// newDeltaRow condenses what each grid line gave.
func newDeltaRow(prod []float64) deltaRow {
	var top float64
	for _, p := range prod {
		top = max(top, p)
	}
	lo, hi := 0, len(prod)-1
	for prod[lo] < leastMass*top {
		lo++
	}
	for prod[hi] < leastMass*top {
		hi--
	}
	mass := make([]float64, hi-lo+3)
	var sum float64
	for _, p := range prod[lo : hi+1] {
		sum += p
	}
	for k, p := range prod[lo : hi+1] {
		mass[k+1] = rounded(p / sum)
	}
	return deltaRow{first: lo - 1, mass: mass, below: cumulate(mass)}
}

// cumulate returns the probability below each line of an even grid, from the
// masses on the lines: the trapezoid rule with its first end correction (Euler
// and Maclaurin), the slopes by central differences.
func cumulate(mass []float64) []float64 {
	below := make([]float64, len(mass))
	var sum float64
	for k := 1; k < len(mass)-1; k++ {
		below[k] = sum + mass[k]/2 - (mass[k+1]-mass[k-1])/24
		sum += mass[k]
	}
	below[len(mass)-1] = sum
	return below
}

// pack lays the rows side by side in one piece of memory: an estimate that is kept
// has hundreds of them, each of a few numbers.
func (t *testedDeparture) pack() {
	reals := make([]float64, 0, 2*t.reals())
	put := func(xs []float64) []float64 {
		from := len(reals)
		reals = append(reals, xs...)
		return reals[from:len(reals):len(reals)]
	}
	for i, row := range t.rows {
		t.rows[i].mass, t.rows[i].below = put(row.mass), put(row.below)
	}
}

// reals is how many masses all rows have together.
func (t *testedDeparture) reals() (n int) {
	for _, row := range t.rows {
		n += len(row.mass)
	}
	return n
}

// bytes is the memory of the packed rows.
func (t *testedDeparture) bytes() int {
	const row, real = 56, 8 // of a deltaRow and a float64
	return row*len(t.rows) + 2*real*t.reals()
}

func (t *testedDeparture) share(i int, x float64) float64 {
	r := &t.rows[i]
	return phi().dot(r.mass, (x+t.grid.at(r.first))/t.spread, t.grid.stride)
}

func (t *testedDeparture) below(i int, d float64) float64 {
	r := &t.rows[i]
	u := (d - t.grid.at(r.first)) / t.grid.step
	switch {
	case !(u > 0):
		return 0
	case u >= float64(len(r.mass)-1):
		return 1
	}
	k := int(u)
	return hermiteCubic(r.below[k], r.mass[k], r.below[k+1], r.mass[k+1], u-float64(k))
}

func (t *testedDeparture) moments(i int) (mean, variance float64) {
	r := &t.rows[i]
	var second float64
	for k, m := range r.mass {
		d := t.grid.at(r.first + k)
		mean += m * d
		second += m * d * d
	}
	return mean, max(second-mean*mean, 0)
}

func (t *testedDeparture) each(i int, visit func(δ, mass float64)) {
	r := &t.rows[i]
	for k, m := range r.mass {
		visit(t.grid.at(r.first+k), m)
	}
}

func (t *testedDeparture) reach() (lo, hi float64) {
	return t.grid.from - t.grid.step, t.grid.at(t.grid.length)
}
