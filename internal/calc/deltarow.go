package calc

import "math"

// tubeRows is what one tested set-up's trials leave to δ at one product: a row for
// each tube it may have, the masses of all rows together adding up to 1, and the
// probability that the set-up is an odd one.
type tubeRows struct {
	rows []deltaRow
	odd  float64
}

// deltaRow is a histogram of δ on a set-up's grid, kept only where it matters.
type deltaRow struct {
	first int // grid line of mass[0]
	mass  []float64
}

// A row drops what is smaller than this part of its largest mass, and is dropped whole
// if it holds less than this part of the probability.
const (
	leastMass = 1e-4
	leastTube = 1e-6
)

func (r deltaRow) sum() (sum float64) {
	for _, m := range r.mass {
		sum += m
	}
	return sum
}

// leave works out what the trials leave to δ for the product last supposed.
func (r *testedTube) leave(g *deltaGrid) tubeRows {
	lines, lns, odd := make([][]float64, len(r.tubes)), make([]float64, len(r.tubes)), make([]float64, len(r.tubes))
	top := math.Inf(-1)
	for k, tube := range r.tubes {
		parts := r.lnOfTube(k, g)
		most := max(parts.within, parts.below, parts.above)
		lines[k], odd[k] = r.spreadOut(g, most)
		lns[k] = math.Log(tube.share) + most
		top = max(top, lns[k])
	}
	var all tubeRows
	var total float64
	for k := range lines {
		scale := math.Exp(lns[k] - top)
		for j := range lines[k] {
			lines[k][j] *= scale
			total += lines[k][j]
		}
		all.odd += odd[k] * scale
	}
	all.odd /= total
	for _, l := range lines {
		all.rows = append(all.rows, newDeltaRow(l, total))
	}
	return all
}

// spreadOut is the probability of the trials by δ, prior and all, on every line of the
// grid for the tube last looked at, over eˡⁿ, and the part of its sum that is an odd set-up's.
func (r *testedTube) spreadOut(g *deltaGrid, ln float64) (lines []float64, wide float64) {
	lines = make([]float64, g.lines())
	w := &r.window
	last := w.first + len(w.product)
	below, within, above := math.Exp(r.lnBelow-ln), math.Exp(w.ln-ln), math.Exp(r.lnAbove-ln)
	for k := range lines {
		p := above
		switch {
		case k < w.first:
			p = below
		case k < last:
			p = within * w.product[k-w.first]
		}
		lines[k] = p * g.weight[k]
		wide += p * g.odd[k]
	}
	return lines, wide
}

// newDeltaRow condenses what each grid line gave, of a total for all rows.
func newDeltaRow(lines []float64, total float64) deltaRow {
	var top, sum float64
	for _, p := range lines {
		top = max(top, p)
		sum += p
	}
	lo, hi := 0, len(lines)-1
	for lo < hi && lines[lo] < leastMass*top {
		lo++
	}
	for hi > lo && lines[hi] < leastMass*top {
		hi--
	}
	kept := lines[lo : hi+1]
	var sumKept float64
	for _, p := range kept {
		sumKept += p
	}
	if !(sum > leastTube*total) {
		return deltaRow{first: lo}
	}
	mass := make([]float64, len(kept))
	for k, p := range kept {
		mass[k] = rounded(p / sumKept * sum / total)
	}
	return deltaRow{first: lo, mass: mass}
}

// packed lays rows side by side in one piece of memory: an estimate that is kept has
// hundreds of them, each of a few numbers.
func packed(rows []deltaRow) []deltaRow {
	reals := make([]float64, 0, masses(rows))
	for i, row := range rows {
		from := len(reals)
		reals = append(reals, row.mass...)
		rows[i].mass = reals[from:len(reals):len(reals)]
	}
	return rows
}

// masses is how many masses all rows have together.
func masses(rows []deltaRow) (n int) {
	for _, row := range rows {
		n += len(row.mass)
	}
	return n
}
