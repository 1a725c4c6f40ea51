package calc

import "math"

// deltaGrid is an even grid over δ, the departure of one set-up, at one Spread. A hand's u is
// summed on the same grid. In units of the rest's spread its step is a whole number of cells of
// the Φ table, so that walking the grid is walking the table.
type deltaGrid struct {
	rest   float64 // Spread.Rest
	tester float64 // Spread.Tester
	stride int     // cells of the Φ table in a step
	step   float64 // in ln(suction)
	half   int     // lines −half … half

	weight     []float64 // prior weights of δ, adding up to 1
	odd        []float64 // the part of each that an odd set-up has
	before     []float64 // sum of the weights below each line, and of all of them at the end
	handWeight []float64 // weights of u, adding up to 1

	timedReach float64 // a δ further than this from all timed trials counts for nothing
	shownReach float64 // further than this from what it needs a trial is settled
}

// The step is at most gridStep standard deviations of the narrowest curve that is summed: a
// normal curve is then summed right to 2 exp(−2π²/gridStep²) = 8e-5 (Poisson's summation
// formula). The grid reaches wideReach standard deviations of
// an odd set-up's δ, and handReach of u, either way.
const (
	gridStep  = 1.4
	wideReach = 5.0
	handReach = 3.6
)

// newDeltaGrid lays the grid for a set-up that these hands have tested: the better their tests
// know δ, the finer.
func newDeltaGrid(hands []handTrials, s Spread) deltaGrid {
	cell := s.Rest / phiCells
	precision, most := 0.0, 0 // of δ by all hands; tests of a hand whose u is summed on the grid
	for _, h := range hands {
		if !h.asBell {
			most = max(most, h.informative())
		}
		precision += 1 / (square(s.Tester) + square(s.Rest)/float64(h.informative()))
	}
	narrowest := 1 / math.Sqrt(1/square(s.Combination)+precision)
	if s.Tester > 0 && most > 0 {
		narrowest = min(narrowest, 1/math.Sqrt(1/square(s.Tester)+float64(most)/square(s.Rest)))
	}
	stride := max(int(gridStep*narrowest/cell), 1)
	g := deltaGridOf(int(math.Ceil(wideReach*oddSpread/(float64(stride)*cell))), stride, s)
	g.shownReach = 5 * s.oneTest()
	g.timedReach = g.shownReach
	if precision > 0 {
		g.timedReach = min(g.timedReach, 6.5/math.Sqrt(precision))
	}
	g.weigh(s)
	return g
}

// deltaGridOf returns the grid with half lines on either side of 0, without weights.
func deltaGridOf(half, stride int, s Spread) deltaGrid {
	return deltaGrid{rest: s.Rest, tester: s.Tester, stride: stride, step: float64(stride) * s.Rest / phiCells,
		half: half}
}

// at returns the δ of the k-th line.
func (g *deltaGrid) at(k int) float64 { return float64(k-g.half) * g.step }

// lines is how many lines the grid has.
func (g *deltaGrid) lines() int { return 2*g.half + 1 }

// linesBetween returns the lines from the last at or below lo to the first above hi. They are
// counted from first, and cut to 0 … lines.
func (g *deltaGrid) linesBetween(lo, hi float64, first, lines int) (from, n int) {
	from = min(max(int(math.Floor(lo/g.step))+g.half-first, 0), lines)
	to := min(max(int(math.Ceil(hi/g.step))+g.half-first+1, from), lines)
	return from, to - from
}

// weigh works out the prior weights of δ and of u.
func (g *deltaGrid) weigh(s Spread) {
	narrow := normalWeights(s.Combination, g.step, g.half)
	wide := normalWeights(oddSpread, g.step, g.half)
	n := g.lines()
	g.weight, g.odd = make([]float64, n), make([]float64, n)
	g.before = make([]float64, n+1)
	for k := range g.weight {
		g.odd[k] = oddShare * wide[k]
		g.weight[k] = (1-oddShare)*narrow[k] + g.odd[k]
		g.before[k+1] = g.before[k] + g.weight[k]
	}
	g.handWeight = normalWeights(s.Tester, g.step, int(math.Ceil(handReach*s.Tester/g.step)))
}

// normalWeights returns the weights, adding up to 1, of a normal distribution around 0 on an
// even grid with half lines on either side.
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

// movingAverage fills dst[j] with Σ weights[m]·src[j+m]. It adds up four sums at a time, because
// each addition to one sum waits for the addition before.
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
