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
// if it holds less than this part, as a logarithm, of the probability.
const (
	leastMass   = 1e-4
	lnLeastTube = -14
)

func (r deltaRow) sum() (sum float64) {
	for _, m := range r.mass {
		sum += m
	}
	return sum
}

// leave works out what the trials leave to δ for the product last supposed, and the
// logarithm of their probability.
func (r *testedTube) leave(g *deltaGrid) (ln float64, all tubeRows) {
	lines, lns := make([]deltaRow, len(r.tubes)), make([]float64, len(r.tubes))
	odd := make([]float64, len(r.tubes))
	top := math.Inf(-1)
	for k, tube := range r.tubes {
		parts := r.lnOfTube(k, g)
		most := max(parts.within, parts.below, parts.above)
		lines[k], odd[k] = r.spreadOut(g, parts, most)
		lns[k] = math.Log(tube.share) + most
		top = max(top, lns[k])
	}
	var total float64
	for k := range lines {
		scale := math.Exp(lns[k] - top)
		for j := range lines[k].mass {
			lines[k].mass[j] *= scale
			total += lines[k].mass[j]
		}
		all.odd += odd[k] * scale
	}
	all.odd /= total
	for k := range lines {
		lines[k].condense(total)
	}
	all.rows = lines
	return top + math.Log(total), all
}

// spreadOut is the probability of the trials by δ, prior and all, for the tube last
// looked at, over eᵐᵒˢᵗ: on the lines of the window, and on those beyond if they hold
// anything; and the part of its sum that is an odd set-up's.
func (r *testedTube) spreadOut(g *deltaGrid, parts lnParts, most float64) (row deltaRow, odd float64) {
	w := &r.window
	first, last, lines := w.first, w.first+len(w.product), g.lines()
	row.first = first
	if parts.below > most+lnLeastTube {
		row.first = 0
	}
	if parts.above < most+lnLeastTube {
		lines = last
	}
	row.mass = make([]float64, lines-row.first)
	put := func(k int, p float64) {
		row.mass[k-row.first] = p * g.weight[k]
		odd += p * g.odd[k]
	}
	below, within, above := math.Exp(r.lnBelow-most), math.Exp(w.ln-most), math.Exp(r.lnAbove-most)
	for k := row.first; k < first; k++ {
		put(k, below)
	}
	for j, p := range w.product {
		put(first+j, within*p)
	}
	for k := last; k < lines; k++ {
		put(k, above)
	}
	return row, odd
}

// condense keeps of a row what matters, as a part of a total for all rows.
func (r *deltaRow) condense(total float64) {
	var top, sum float64
	for _, p := range r.mass {
		top = max(top, p)
		sum += p
	}
	if !(sum > math.Exp(lnLeastTube)*total) {
		r.mass = nil
		return
	}
	for r.mass[0] < leastMass*top {
		r.mass = r.mass[1:]
		r.first++
	}
	for r.mass[len(r.mass)-1] < leastMass*top {
		r.mass = r.mass[:len(r.mass)-1]
	}
	kept := r.sum()
	for k, p := range r.mass {
		r.mass[k] = rounded(p / kept * sum / total)
	}
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
