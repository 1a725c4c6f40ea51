package calc

import (
	"math"
	"slices"
)

// gelPoint is one possible product: the logarithms of consistency and yield
// stress, and the rung of the flow index on the ladder.
type gelPoint struct {
	rung         int
	lnK, lnYield float64
}

// testedTube is one tested set-up made ready for the many evaluations of a fit:
// its trials in an order of their own, logarithms taken, and the grid over δ.
type testedTube struct {
	setup  Setup
	path   path
	trials []readyTrial
	given  []int // given[i] is the place of trials[i] in the caller's order
	delta  deltaGrid
	weight []float64 // the grid's prior weights, adding up to 1
	spread float64   // of one test around its combination

	prod          []float64 // scratch: what each δ gave for all trials
	chance, other []float64 // scratch: what it gave for one of them
}

// readyTrial is a trial with its logarithms taken.
type readyTrial struct {
	Trial
	lnSuction    float64
	lnFrom, lnTo float64
	slip         float64 // probability of this outcome by a slip, slip included
}

// deltaGrid is an even grid over δ, the departure of one set-up. Its step is a
// whole number of cells of the Φ table, in units of one test's spread.
type deltaGrid struct {
	from, step float64
	stride     int // cells of the Φ table
	length     int
}

// The grid reaches this many prior standard deviations either way, and its step
// is at most this part of the spread that so many trials leave to δ. For a
// smooth bell the sum over such a grid is right to 1e-6.
const (
	deltaReach = 4.3
	deltaStep  = 1.1
)

// newDeltaGrid lays the grid for a number of trials: the more, the finer.
func newDeltaGrid(trials int, s Spread) deltaGrid {
	cell := s.oneTest() / phiCells
	left := 1 / math.Sqrt(1/square(s.Combination)+float64(trials)/square(s.oneTest()))
	stride := max(int(deltaStep*left/cell), 1)
	half := int(math.Ceil(deltaReach * s.Combination / (float64(stride) * cell)))
	return deltaGridOf(2*half+1, stride, s)
}

// deltaGridOf is the grid with so many lines, zero in the middle.
func deltaGridOf(length, stride int, s Spread) deltaGrid {
	step := float64(stride) * s.oneTest() / phiCells
	return deltaGrid{from: -float64(length/2) * step, step: step, stride: stride, length: length}
}

func (g deltaGrid) at(k int) float64 { return g.from + float64(k)*g.step }

// prepare checks a tested set-up and makes it ready.
func prepare(t TestedSetup, s Spread) (*testedTube, error) {
	if err := t.Setup.check(); err != nil {
		return nil, err
	}
	r := &testedTube{setup: t.Setup, path: newPath(t.Setup.Tube), spread: s.oneTest()}
	r.given = make([]int, len(t.Trials))
	for i := range r.given {
		r.given[i] = i
	}
	slices.SortStableFunc(r.given, func(a, b int) int { return t.Trials[a].compare(t.Trials[b]) })
	for _, i := range r.given {
		ready, err := t.Trials[i].ready(t.Setup.Gas)
		if err != nil {
			return nil, err
		}
		r.trials = append(r.trials, ready)
	}
	r.grid(s)
	return r, nil
}

func (t Trial) ready(gas Volume) (readyTrial, error) {
	if err := t.check(); err != nil {
		return readyTrial{}, err
	}
	p, err := Draw{Pull: t.Pull, Gas: gas}.Suction(0)
	if err != nil {
		return readyTrial{}, err
	}
	return readyTrial{
		Trial:     t,
		lnSuction: math.Log(float64(p)),
		lnFrom:    math.Log(float64(t.From)),
		lnTo:      math.Log(float64(t.To)),
		slip:      slipShare * slipLikelihood(t),
	}, nil
}

// grid lays the grid over δ and its prior weights.
func (r *testedTube) grid(s Spread) {
	r.delta = newDeltaGrid(len(r.trials), s)
	n := r.delta.length
	r.weight, r.prod = make([]float64, n), make([]float64, n)
	r.chance, r.other = make([]float64, n), make([]float64, n)
	var sum float64
	for k := range r.weight {
		r.weight[k] = math.Exp(lnNormal(r.delta.at(k), normal{0, s.Combination}))
		sum += r.weight[k]
	}
	for k := range r.weight {
		r.weight[k] /= sum
	}
}

// multiply leaves the probability of each trial's outcome by δ, slips included,
// multiplied up over all trials, in r.prod, and returns the logarithm of the
// factor that was taken out to keep the product from underflowing.
func (r *testedTube) multiply(g gelPoint) (lnScale float64) {
	copy(r.prod, r.weight)
	for i := range r.trials {
		t := &r.trials[i]
		width := (1 - slipShare) * r.chances(t, g)
		chance := r.chance[:len(r.prod)]
		for k := range r.prod {
			r.prod[k] *= width*chance[k] + t.slip
		}
		if (i+1)%rescaleAfter == 0 {
			lnScale += rescale(r.prod)
		}
	}
	return lnScale
}

// narrow is the width, in standard scores, up to which a trial's interval is
// taken as its width times the density in its middle. The error of that is below
// a part in 2 000 within two standard deviations.
const narrow = 0.1

// chances fills r.chance so that, times the width returned, it is the chance of
// the trial's outcome by δ, if the product is g and the trial no slip.
func (r *testedTube) chances(t *readyTrial, g gelPoint) (width float64) {
	lo, hi := r.score(t, t.lnFrom, g), math.Inf(1)
	if !t.None() {
		hi = r.score(t, t.lnTo, g)
	}
	if width = hi - lo; width < narrow {
		density().ramp(r.chance, (lo+hi)/2, r.delta.stride)
		return width
	}
	phi().ramp(r.chance, hi, r.delta.stride)
	phi().ramp(r.other, lo, r.delta.stride)
	for k, c := range r.other {
		r.chance[k] -= c
	}
	return 1
}

// score is the standard score, on the first line of the δ grid, of showing by a
// time whose logarithm is given; minus infinity for time 0.
func (r *testedTube) score(t *readyTrial, lnTime float64, g gelPoint) float64 {
	needed := exitTables()[g.rung].lnSuction(g.lnK, g.lnYield, r.path, lnTime)
	return (t.lnSuction - needed + r.delta.from) / r.spread
}

// rescaleAfter so many tests a product of probabilities is rescaled: the least of
// them is slipShare·leastSlip, 2e-11, so that 16 of them stay far above underflow.
const rescaleAfter = 16

// rescale divides by the largest value and returns its logarithm.
func rescale(xs []float64) float64 {
	top := slices.Max(xs)
	if !(top > 0) {
		return 0
	}
	for k := range xs {
		xs[k] /= top
	}
	return math.Log(top)
}

// lnLikelihood is the logarithm of the probability of the set-up's trials if
// the product is g, summed over δ. It leaves in r.prod what each δ gave.
func (r *testedTube) lnLikelihood(g gelPoint) float64 {
	lnScale := r.multiply(g)
	var sum float64
	for _, p := range r.prod {
		sum += p
	}
	return lnScale + math.Log(sum)
}

// addSlips adds to sums, for each trial in its own order, the probability that
// it is a slip if the product is g, times weight. r.prod must be g's.
func (r *testedTube) addSlips(g gelPoint, weight float64, sums []float64) {
	var total float64
	for _, p := range r.prod {
		total += p
	}
	for i := range r.trials {
		t := &r.trials[i]
		width := (1 - slipShare) * r.chances(t, g)
		var slip float64
		for k, p := range r.prod {
			slip += p * t.slip / (width*r.chance[k] + t.slip)
		}
		sums[i] += weight * slip / total
	}
}
