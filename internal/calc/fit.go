package calc

import (
	"cmp"
	"math"
	"slices"
)

// The grids over the possible products. A step is a part of the spread that the tests leave; a
// depth is how far below the best cell, in natural logarithms of probability, a cell is kept. The
// exploring grids only have to find where the probability lies. The final grid is summed over, or
// a finer one where less than leastFilled of it is filled. All are chosen; TestFitAgainstNumPy
// holds what they cost.
const (
	exploreStep  = 1.2
	exploreDepth = 5
	finalStep    = 0.75
	wideStep     = 0.9 // the final step of more than manyTests
	manyTests    = 300
	finalDepth   = 8
	fineStep     = 0.5
	fineDepth    = 9
	leastFilled  = 0.65
	mostFrames   = 6
	mostCells    = 20000
)

// fitter holds what one search among the possible products works with.
type fitter struct {
	prior         prior
	setups        []*readySetup
	wantPosterior bool // of every node, for every set-up's δ
}

// evaluate computes one cell's node, at the first of the spreads.
func (f *fitter) evaluate(fr *frame, c cell, g gelPoint) node {
	n := node{gelPoint: g, cell: c, lnWeight: f.prior.lnShape(g) + math.Log(fr.width(c))}
	for _, t := range f.setups {
		t.suppose(g)
		if !f.wantPosterior {
			n.lnWeight += t.lnLikelihood(&t.grids[0])
			continue
		}
		ln, left := t.posterior(&t.grids[0])
		n.lnWeight += ln
		n.posteriors = append(n.posteriors, left)
	}
	return n
}

// search finds the nodes that carry the probability, and the grid they lie on. few, with a few
// of the trials, shows where to begin.
func (f *fitter) search(few *fitter) (frame, []node) {
	fr, nodes := f.explore(few.explore(few.start()))
	f.wantPosterior = true
	return f.finish(fr, nodes)
}

// finish lays the final grid. Where the probability lies in two places, or on a bent ridge, it
// fills much less of the grid than one normal curve would; then the grid is laid finer, the more
// so the less is filled.
func (f *fitter) finish(fr frame, nodes []node) (frame, []node) {
	step := f.lastStep()
	fr = momentsOf(nodes).blur(fr).frame(step)
	nodes = settle(f.flood(&fr, nodes, finalDepth), finalDepth)
	if part := fr.filled(nodes) / leastFilled; part < 1 {
		fr = momentsOf(nodes).blur(fr).frame(max(step*part*math.Sqrt(part), fineStep))
		nodes = settle(f.flood(&fr, nodes, fineDepth), fineDepth)
	}
	return fr, nodes
}

// lastStep is the step of the final grid. With many tests the answers depend more on them, and
// less on what lies between two possible products.
func (f *fitter) lastStep() float64 {
	tests := 0
	for _, t := range f.setups {
		tests += t.count
	}
	if tests > manyTests {
		return wideStep
	}
	return finalStep
}

// filled is the number of cells that the probability fills, as a part of what one normal curve
// would fill with the spread that the grid was laid for.
func (f *frame) filled(nodes []node) float64 {
	var sum float64
	for _, n := range nodes {
		sum += square(n.weight)
	}
	normal := math.Pow(2*math.Sqrt(math.Pi), 3) * f.scale[0] * f.scale[1] * f.scale[2] / f.volume()
	return 1 / (sum * normal)
}

// start is the first, widest grid.
func (f *fitter) start() (frame, []node) {
	wide := f.prior.moments()
	fr := wide.frame(0.75)
	return fr, settle(f.box(&fr), math.Inf(1))
}

// explore goes from grid to finer grid until a grid's steps suit the spread found on it.
func (f *fitter) explore(fr frame, nodes []node) (frame, []node) {
	for range mostFrames {
		fr = momentsOf(nodes).blur(fr).frame(exploreStep)
		nodes = settle(f.flood(&fr, nodes, exploreDepth), exploreDepth)
		if fr.suits(momentsOf(nodes).blur(fr)) {
			break
		}
	}
	return fr, nodes
}

// moments returns those of the prior: independent normals.
func (p prior) moments() moments {
	return moments{
		mean: [3]float64{p.Index.Mean, p.LnConsistency.Mean, p.LnYield.Mean},
		cov: [3][3]float64{
			{square(p.Index.SD), 0, 0},
			{0, square(p.LnConsistency.SD), 0},
			{0, 0, square(p.LnYield.SD)},
		},
	}
}

// suits reports whether the spread found is not much narrower than the one that the frame was laid
// for.
func (f *frame) suits(found moments) bool {
	const narrower = 0.8
	now := found.frame(1).scale
	for a := range now {
		if now[a] < narrower*f.scale[a] {
			return false
		}
	}
	return true
}

// box evaluates the cells around the prior's centre: up to three standard deviations in ln K and
// ln τy, one and a half in the flow index. Later grids may go beyond.
func (f *fitter) box(fr *frame) []node {
	var nodes []node
	for i := -2; i <= 2; i++ {
		for j := -4; j <= 4; j++ {
			for k := -4; k <= 4; k++ {
				c := cell{i, j, k}
				if g, ok := fr.at(c); ok {
					nodes = append(nodes, f.evaluate(fr, c, g))
				}
			}
		}
	}
	return nodes
}

// flood evaluates cells outwards from the likely seeds as long as they are less than depth below
// the best cell met. From one side it leaves a neighbour out that would be further below, by
// notBell more, if the probability fell from here no faster than on the way here.
func (f *fitter) flood(fr *frame, seeds []node, depth float64) []node {
	var nodes []node
	ln := map[cell]float64{} // of the cells visited
	best := math.Inf(-1)
	visit := func(c cell) {
		if _, seen := ln[c]; seen {
			return
		}
		ln[c] = math.Inf(-1)
		if g, ok := fr.at(c); ok {
			n := f.evaluate(fr, c, g)
			nodes = append(nodes, n)
			ln[c] = n.lnWeight
			best = max(best, n.lnWeight)
		}
	}
	for _, s := range seeds {
		if s.lnWeight > seeds[0].lnWeight-seedDepth {
			visit(fr.nearest(s.gelPoint))
		}
	}
	for i := 0; i < len(nodes) && len(nodes) < mostCells; i++ {
		here := nodes[i]
		if here.lnWeight < best-depth {
			continue
		}
		around := here.cell.neighbours()
		for k, c := range around {
			before, seen := ln[around[k^1]] // on the other side
			if !seen || 2*here.lnWeight-before > best-depth-notBell {
				visit(c)
			}
		}
	}
	return nodes
}

// notBell is room for a probability that falls more slowly further out; a normal one falls faster.
const notBell = 1.5

// seedDepth is how far below the best node of the previous grid a node still starts a search of
// its own, so that a second hill is not lost.
const seedDepth = 6

func (c cell) neighbours() [6]cell {
	return [6]cell{
		{c.i - 1, c.j, c.k}, {c.i + 1, c.j, c.k},
		{c.i, c.j - 1, c.k}, {c.i, c.j + 1, c.k},
		{c.i, c.j, c.k - 1}, {c.i, c.j, c.k + 1},
	}
}

// settle orders nodes by probability, drops those more than depth below the best, and normalises
// the weights.
func settle(nodes []node, depth float64) []node {
	slices.SortStableFunc(nodes, func(a, b node) int { return cmp.Compare(b.lnWeight, a.lnWeight) })
	best := nodes[0].lnWeight
	end := len(nodes)
	for end > 1 && nodes[end-1].lnWeight < best-depth {
		end--
	}
	nodes = nodes[:end]
	var sum float64
	for i := range nodes {
		nodes[i].weight = math.Exp(nodes[i].lnWeight - best)
		sum += nodes[i].weight
	}
	for i := range nodes {
		nodes[i].weight /= sum
	}
	return nodes
}
