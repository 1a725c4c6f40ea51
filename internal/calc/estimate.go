package calc

import (
	"cmp"
	"math"
	"slices"
)

// Estimate is what a group's tests of one product, in all the set-ups it was tested in, say about
// it: a weighted list of possible products and, for each, how far every tested set-up departs from
// the model. An Estimate never changes, and many goroutines may read it.
type Estimate struct {
	spread Spread
	points []gelPoint
	weight []float64 // adding up to 1, largest first
	setups []setupEstimate
}

// setupEstimate is what is known of one tested set-up: its departure at each
// point, and the slip probabilities of its trials in the caller's order.
type setupEstimate struct {
	setup Setup
	grid  deltaGrid    // without its weights
	rows  [][]deltaRow // by possible tube and point; at each point their masses add up to 1
	odd   float64      // probability that the set-up is unlike the gel's others
	slips []float64
}

// Fit computes the estimate of a product from all its tests.
//
// The unknowns are ln K, n and ln τy of the product, one departure δ for each tested set-up and
// one u for each hand on it. For every possible product and tube u and δ are summed over on a
// grid; the possible products lie on a grid that follows the probability. Nothing is sampled:
// the same tests give the same estimate, in whatever order they come.
//
// Hands with many tests are approximated (tested.go, bell.go), so that thousands of tests
// cost little more than hundreds.
//
// Domain:   class one of GelClasses; every set-up once, each with positive
// bore, length and gas; every trial as its constructor made it. No tests at all
// is legal and gives what the class alone says.
// Accuracy: mean shares to 0.002, their limits to 0.005 (TestFitAgainstNumPy, and
// TestSummedUpSaysWhatOneByOneSays for hands with many tests).
// Errors:   *RangeError.
// Source:   the statistical model is this project's own; its parts are in doc.go.
func Fit(class GelClass, tested []TestedSetup, spread Spread) (*Estimate, error) {
	p, ok := class.prior()
	if !ok {
		return nil, &RangeError{Name: "gel class", Value: math.NaN(), Want: "one of the listed classes"}
	}
	if err := spread.check(); err != nil {
		return nil, err
	}
	f, err := newFitter(p, tested, spread)
	if err != nil {
		return nil, err
	}
	few, err := newFitter(p, thinned(tested), spread)
	if err != nil {
		return nil, err
	}
	_, nodes := f.search(few)
	return newEstimate(nodes, f.setups, spread), nil
}

// newFitter makes the tested set-ups ready, in an order of their own.
func newFitter(p prior, tested []TestedSetup, spreads ...Spread) (*fitter, error) {
	f := &fitter{prior: p}
	for _, t := range tested {
		r, err := prepare(t)
		if err != nil {
			return nil, err
		}
		r.layGrids(spreads...)
		f.setups = append(f.setups, r)
	}
	slices.SortFunc(f.setups, func(a, b *readySetup) int { return a.setup.compare(b.setup) })
	for i := 1; i < len(f.setups); i++ {
		if f.setups[i].setup == f.setups[i-1].setup {
			return nil, &RangeError{Name: "bore of a set-up listed twice", Want: "every set-up once",
				Value: float64(f.setups[i].setup.Tube.Bore)}
		}
	}
	return f, nil
}

// newEstimate turns the nodes of the last grid into an Estimate.
func newEstimate(nodes []node, tubes []*readySetup, spread Spread) *Estimate {
	e := &Estimate{spread: spread, points: make([]gelPoint, len(nodes)), weight: make([]float64, len(nodes))}
	for i, n := range nodes {
		e.points[i], e.weight[i] = n.gelPoint.rounded(), rounded(n.weight)
	}
	for i, r := range tubes {
		g := r.grids[0]
		t := setupEstimate{setup: r.setup, grid: deltaGridOf(g.half, g.stride, spread), slips: r.slips(nodes)}
		for k := range r.tubes {
			rows := make([]deltaRow, len(nodes))
			for j, n := range nodes {
				rows[j] = n.posteriors[i].rows[k]
			}
			t.rows = append(t.rows, packed(rows))
		}
		for _, n := range nodes {
			t.odd += n.weight * n.posteriors[i].odd
		}
		t.odd = min(rounded(t.odd), 1)
		e.setups = append(e.setups, t)
	}
	return e
}

// Bytes is how much memory the estimate takes, to a tenth or so, for a cache of estimates. It is
// several times the stored form.
func (e *Estimate) Bytes() int {
	const point, weight, real, row, tube = 24, 8, 8, 32, 290 // of a gelPoint, a float64, a deltaRow and a setupEstimate
	n := (point + weight) * len(e.points)
	for _, t := range e.setups {
		n += tube + real*len(t.slips)
		for _, rows := range t.rows {
			n += row*len(rows) + real*masses(rows)
		}
	}
	return n
}

// rounded returns x with the precision of the stored form, so that an estimate read back from the
// store gives the very same answers.
func rounded(x float64) float64 { return float64(float32(x)) }

func (g gelPoint) rounded() gelPoint {
	return gelPoint{rung: g.rung, lnK: rounded(g.lnK), lnYield: rounded(g.lnYield)}
}

// compare orders set-ups so that sums over them do not depend on the caller's order.
func (s Setup) compare(o Setup) int {
	return cmp.Or(cmp.Compare(s.Tube.Bore, o.Tube.Bore), cmp.Compare(s.Tube.Length, o.Tube.Length),
		cmp.Compare(s.Gas, o.Gas), cmp.Compare(s.UnrecordedWall, o.UnrecordedWall))
}

// setup returns the estimate of a tested set-up, nil where there is none.
func (e *Estimate) setup(s Setup) *setupEstimate {
	for i := range e.setups {
		if e.setups[i].setup == s {
			return &e.setups[i]
		}
	}
	return nil
}

// Slips returns, for each trial of a tested set-up in the order in which Fit was given them, the
// probability that it is a slip of the pen or a wrong box. It is nil for a set-up without tests.
func (e *Estimate) Slips(s Setup) []float64 {
	t := e.setup(s)
	if t == nil {
		return nil
	}
	return slices.Clone(t.slips)
}
