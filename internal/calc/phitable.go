package calc

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"
)

// normalTable is a function of the standard normal distribution, tabulated as one cubic a cell
// from gonum's values, for a fit asks for it a few million times. Absolute error 4e-9.
type normalTable struct {
	cells [2 * phiReach * phiCells][4]float64
	above float64 // the value beyond the table; below it is 0
}

// Beyond phiReach standard deviations the distribution function is 0 or 1 to
// 1e-15; phiCells cells make up one standard deviation.
const (
	phiReach = 8
	phiCells = 32
)

// newNormalTable tabulates f, whose slope is given too.
func newNormalTable(f, slope func(z float64) float64, above float64) *normalTable {
	t := &normalTable{above: above}
	const step = 1.0 / phiCells
	for i := range t.cells {
		z := -phiReach + float64(i)*step
		a, b := f(z), f(z+step)
		da, db := step*slope(z), step*slope(z+step)
		d := b - a
		t.cells[i] = [4]float64{a, da, 3*d - 2*da - db, da + db - 2*d}
	}
	return t
}

// phi is Φ, the standard normal distribution function, and density its slope. Both tables are
// made on first use and never changed.
var (
	phi = sync.OnceValue(func() *normalTable {
		return newNormalTable(distuv.UnitNormal.CDF, distuv.UnitNormal.Prob, 1)
	})
	density = sync.OnceValue(func() *normalTable {
		slope := func(z float64) float64 { return -z * distuv.UnitNormal.Prob(z) }
		return newNormalTable(distuv.UnitNormal.Prob, slope, 0)
	})
)

// at returns the function at z.
func (t *normalTable) at(z float64) float64 {
	u := (z + phiReach) * phiCells
	switch {
	case !(u > 0):
		return 0
	case u >= float64(len(t.cells)):
		return t.above
	}
	i := int(u)
	u -= float64(i)
	c := &t.cells[i]
	return c[0] + u*(c[1]+u*(c[2]+u*c[3]))
}

// ramp fills dst with the function at z, z + stride/phiCells, z + 2·stride/phiCells, …
func (t *normalTable) ramp(dst []float64, z float64, stride int) {
	first, last, cell, u := t.enter(z, stride, len(dst))
	clear(dst[:first])
	on := dst[first:last]
	for k := range on {
		c := &t.cells[uint(cell)%uint(len(t.cells))] // the remainder spares a check
		on[k] = c[0] + u*(c[1]+u*(c[2]+u*c[3]))
		cell += stride
	}
	above := dst[last:]
	for k := range above {
		above[k] = t.above
	}
}

// multiplyDensity multiplies dst by share·P + plus, where P is the probability of an interval of a
// width around z, z + stride/phiCells, z + 2·stride/phiCells, …: P = width·(ϕ + width²/24·ϕ″), the
// first two terms of its series, ϕ being the normal density.
func multiplyDensity(dst []float64, z float64, stride int, width, share, plus float64) {
	t := density()
	first, last, cell, u := t.enter(z, stride, len(dst))
	for k := range dst[:first] {
		dst[k] *= plus
	}
	step, bend := float64(stride)/phiCells, share*width*width*width/24
	z += float64(first) * step
	flat := share*width - bend
	on := dst[first:last]
	for k := range on {
		c := &t.cells[uint(cell)%uint(len(t.cells))] // the remainder spares a check
		on[k] *= (flat+bend*z*z)*(c[0]+u*(c[1]+u*(c[2]+u*c[3]))) + plus
		cell += stride
		z += step
	}
	for k := range dst[last:] {
		dst[last+k] *= plus
	}
}

// enter returns, for a walk of n steps up the table from z, the first step that lies on the table
// and the first that lies beyond it, the first one's cell, and the place within the cell. Steps
// are whole cells: the place is the same at each.
func (t *normalTable) enter(z float64, stride, n int) (first, last, cell int, u float64) {
	u = (z + phiReach) * phiCells
	if !(u > -1e9) { // −Inf, or as good as
		return n, n, 0, 0
	}
	if u < 0 {
		first = min(int(-u)/stride+1, n)
		u += float64(first * stride)
	}
	if u >= float64(len(t.cells)) {
		return first, first, 0, 0
	}
	cell = int(u)
	return first, first + min((len(t.cells)-cell+stride-1)/stride, n-first), cell, u - float64(cell)
}

// quantileOfNormal returns the p-quantile of the standard normal distribution.
func quantileOfNormal(p float64) float64 { return distuv.UnitNormal.Quantile(p) }

// lnNormal returns the logarithm of a normal density without its constant.
func lnNormal(x float64, d normal) float64 {
	z := (x - d.Mean) / d.SD
	return -z * z / 2
}

// square returns x².
func square(x float64) float64 { return x * x }

// finite reports whether x is neither infinite nor NaN.
func finite(x float64) bool { return !math.IsInf(x, 0) && !math.IsNaN(x) }
