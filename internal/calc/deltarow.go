package calc

import "math"

// deltaPosterior is the distribution of one tested set-up's δ for one product, given its trials:
// a row for each possible tube, the masses of all rows adding up to 1. odd is the probability
// that the set-up is an odd one.
type deltaPosterior struct {
	rows []deltaRow // by possible tube
	odd  float64
}

// deltaRow is a histogram of δ on a set-up's grid, kept only where it matters.
type deltaRow struct {
	first int // grid line of mass[0]
	mass  []float64
}

// A row drops masses at its ends below leastMass of its largest, and is dropped whole if it has
// less than e^lnLeastTube of the probability.
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

// posterior returns the distribution of δ for the product last supposed, and the logarithm of
// the probability of the trials.
func (r *readySetup) posterior(g *deltaGrid) (ln float64, p deltaPosterior) {
	n := len(r.tubes)
	p.rows = make([]deltaRow, n)
	lns, odd := make([]float64, n), make([]float64, n)
	top := math.Inf(-1)
	for k, tube := range r.tubes {
		parts := r.lnInTube(k, g)
		most := max(parts.within, parts.below, parts.above)
		p.rows[k], odd[k] = r.row(g, parts, most)
		lns[k] = math.Log(tube.share) + most
		top = max(top, lns[k])
	}
	var total float64
	for k, row := range p.rows {
		scale := math.Exp(lns[k] - top)
		for j := range row.mass {
			row.mass[j] *= scale
			total += row.mass[j]
		}
		p.odd += odd[k] * scale
	}
	p.odd /= total
	for k := range p.rows {
		p.rows[k].condense(total)
	}
	return top + math.Log(total), p
}

// row returns the probability of the trials by δ, its prior included, for the tube that the
// window was filled for, divided by eᵐᵒˢᵗ. It has the lines of the window, and those beyond it if
// they hold anything. odd is the part of its sum that an odd set-up has.
func (r *readySetup) row(g *deltaGrid, parts lnParts, most float64) (row deltaRow, odd float64) {
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

// condense keeps of a row what matters, as a part of the total of all rows.
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

// packed moves rows into one piece of memory: an estimate has hundreds of them, each of a few
// numbers.
func packed(rows []deltaRow) []deltaRow {
	reals := make([]float64, 0, masses(rows))
	for i, row := range rows {
		from := len(reals)
		reals = append(reals, row.mass...)
		rows[i].mass = reals[from:len(reals):len(reals)]
	}
	return rows
}

// masses is the number of masses in all rows.
func masses(rows []deltaRow) (n int) {
	for _, row := range rows {
		n += len(row.mass)
	}
	return n
}
