package calc

import "math"

// deltaGrid is an even grid over δ, the departure of one set-up, at one Spread. Its
// step is a whole number of cells of the Φ table, in units of the rest's spread, and
// a hand's u is summed on the same grid.
type deltaGrid struct {
	rest   float64
	tester float64 // the hand's spread
	stride int     // cells of the Φ table
	step   float64 // in ln(suction)
	half   int     // lines −half … half

	weight []float64 // prior weights of δ, adding up to 1
	odd    []float64 // the part of each that is the wide part's
	before []float64 // sum of the weights below each line, and of all of them at the end
	oddBy  []float64 // the same of the wide part
	hand   []float64 // weights of u, adding up to 1

	timedReach float64 // what lies further than this from all timed trials counts for nothing
	shownReach float64 // a trial is settled one way or the other beyond this
}

// The step is at most this part of the narrowest bell that has to be summed: for
// smooth bells the sum is then right to 1e-4. Grids reach so many standard
// deviations of δ's wide part, and of u, either way.
const (
	gridStep  = 1.4
	wideReach = 5.0
	handReach = 3.6
)

// newDeltaGrid lays the grid for a set-up that these hands have tested.
func newDeltaGrid(hands []handTrials, s Spread) deltaGrid {
	cell := s.Rest / phiCells
	known, most := 0.0, 0
	for _, h := range hands {
		if !h.summed {
			most = max(most, h.telling())
		}
		known += 1 / (square(s.Tester) + square(s.Rest)/float64(h.telling()))
	}
	narrowest := 1 / math.Sqrt(1/square(s.Combination)+known)
	if s.Tester > 0 && most > 0 {
		narrowest = min(narrowest, 1/math.Sqrt(1/square(s.Tester)+float64(most)/square(s.Rest)))
	}
	stride := max(int(gridStep*narrowest/cell), 1)
	g := deltaGridOf(int(math.Ceil(wideReach*oddSpread/(float64(stride)*cell))), stride, s)
	g.shownReach = 5 * s.oneTest()
	g.timedReach = g.shownReach
	if known > 0 {
		g.timedReach = min(g.timedReach, 6.5/math.Sqrt(known))
	}
	g.weigh(s)
	return g
}

// deltaGridOf is the grid with so many lines on either side of 0, without weights.
func deltaGridOf(half, stride int, s Spread) deltaGrid {
	return deltaGrid{rest: s.Rest, tester: s.Tester, stride: stride, step: float64(stride) * s.Rest / phiCells,
		half: half}
}

// at is the place of the k-th line.
func (g *deltaGrid) at(k int) float64 { return float64(k-g.half) * g.step }

// lines is how many lines the grid has.
func (g *deltaGrid) lines() int { return 2*g.half + 1 }

// weigh works out the weights of δ and of u.
func (g *deltaGrid) weigh(s Spread) {
	narrow := normalWeights(s.Combination, g.step, g.half)
	wide := normalWeights(oddSpread, g.step, g.half)
	n := g.lines()
	g.weight, g.odd = make([]float64, n), make([]float64, n)
	g.before, g.oddBy = make([]float64, n+1), make([]float64, n+1)
	for k := range g.weight {
		g.odd[k] = oddShare * wide[k]
		g.weight[k] = (1-oddShare)*narrow[k] + g.odd[k]
		g.before[k+1] = g.before[k] + g.weight[k]
		g.oddBy[k+1] = g.oddBy[k] + g.odd[k]
	}
	g.hand = normalWeights(s.Tester, g.step, int(math.Ceil(handReach*s.Tester/g.step)))
}

// normalWeights are the weights, adding up to 1, of a normal distribution around 0
// on an even grid with so many lines on either side.
func normalWeights(sd, step float64, half int) []float64 {
	if half == 0 {
		return []float64{1}
	}
	weights := make([]float64, 2*half+1)
	var sum float64
	for k := range weights {
		weights[k] = math.Exp(lnNormal(float64(k-half)*step, normal{0, sd}))
		sum += weights[k]
	}
	for k := range weights {
		weights[k] /= sum
	}
	return weights
}

// movingAverage fills dst with the sums of weights times as many values of src, four
// at a time, for a sum waits for the one before.
func movingAverage(dst, src, weights []float64) {
	j := 0
	for ; j+4 <= len(dst); j += 4 {
		var a, b, c, d float64
		s := src[j : j+len(weights)+3]
		for m, w := range weights {
			t := s[m : m+4 : m+4]
			a += w * t[0]
			b += w * t[1]
			c += w * t[2]
			d += w * t[3]
		}
		dst[j], dst[j+1], dst[j+2], dst[j+3] = a, b, c, d
	}
	for ; j < len(dst); j++ {
		var sum float64
		s := src[j : j+len(weights)]
		for m, w := range weights {
			sum += w * s[m]
		}
		dst[j] = sum
	}
}
