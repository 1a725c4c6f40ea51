package calc

import "math"

// handTube is one tested set-up whose tests are told apart by tester: within the
// set-up every tester's hand u is one number, drawn once. It is asked about many
// products at several spreads.
type handTube struct {
	setup Setup
	path  path
	hands [][]readyTrial // by tester
	grids []handGrid     // one for each spread

	from, to      []float64 // suction needed, for each trial in turn, to show by its two ends
	hand, product []float64 // scratch
	chance, other []float64 // scratch
}

// handGrid is what one spread asks of a set-up: an even grid over δ, the same
// grid continued either way for δ + u, and the weights of both. Its step is a
// whole number of cells of the Φ table, in units of the rest's spread.
type handGrid struct {
	rest       float64
	stride     int
	from, step float64   // of the grid for δ + u
	delta      []float64 // weights of δ, adding up to 1
	hand       []float64 // weights of u, adding up to 1
}

// handStep is the grid's step as a part of the narrowest bell it has to sum. For
// smooth bells the sum is right to 1e-5 at that.
const handStep = 1.2

// newHandTube makes one set-up's tests, sorted by tester, ready.
func newHandTube(tests []LoggedTrial) (*handTube, error) {
	setup := tests[0].Setup
	if err := setup.check(); err != nil {
		return nil, err
	}
	t := &handTube{setup: setup, path: newPath(setup.Tube)}
	for rest := tests; len(rest) > 0; {
		n := loggedRun(rest, func(a, b LoggedTrial) bool { return a.Tester == b.Tester })
		var hand []readyTrial
		for _, l := range rest[:n] {
			ready, err := l.Trial.ready(setup.Gas)
			if err != nil {
				return nil, err
			}
			hand = append(hand, ready)
		}
		t.hands = append(t.hands, hand)
		rest = rest[n:]
	}
	t.from, t.to = make([]float64, len(tests)), make([]float64, len(tests))
	return t, nil
}

// lay lays a grid for each of the spreads.
func (t *handTube) lay(spreads []Spread) {
	t.grids = t.grids[:0]
	longest := 0
	for _, s := range spreads {
		g := newHandGrid(t.hands, s)
		t.grids = append(t.grids, g)
		longest = max(longest, len(g.delta)+len(g.hand))
	}
	if len(t.hand) < longest {
		t.hand, t.product = make([]float64, longest), make([]float64, longest)
		t.chance, t.other = make([]float64, longest), make([]float64, longest)
	}
}

func newHandGrid(hands [][]readyTrial, s Spread) handGrid {
	cell := s.Rest / phiCells
	most := 0
	known := 1 / square(s.Combination)
	for _, h := range hands {
		most = max(most, len(h))
		known += 1 / (square(s.Tester) + square(s.Rest)/float64(len(h)))
	}
	narrowest := min(1/math.Sqrt(known), 1/math.Sqrt(1/square(s.Tester)+float64(most)/square(s.Rest)))
	g := handGrid{rest: s.Rest, stride: max(int(handStep*narrowest/cell), 1)}
	g.step = float64(g.stride) * cell
	g.delta = normalWeights(s.Combination, g.step)
	g.hand = normalWeights(s.Tester, g.step)
	g.from = -g.step * float64(len(g.delta)/2+len(g.hand)/2)
	return g
}

// normalWeights are the weights, adding up to 1, of a normal distribution around
// 0 on an even grid that reaches deltaReach standard deviations either way.
func normalWeights(sd, step float64) []float64 {
	half := int(math.Ceil(deltaReach * sd / step))
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

// suppose works out what the trials would need of their suction if the product
// were g: the one part that does not depend on the spreads.
func (t *handTube) suppose(g gelPoint) {
	table := exitTables()[g.rung]
	i := 0
	for _, hand := range t.hands {
		for j := range hand {
			r := &hand[j]
			t.from[i] = table.lnSuction(g.lnK, g.lnYield, t.path, r.lnFrom) - r.lnSuction
			t.to[i] = math.Inf(-1)
			if !r.None() {
				t.to[i] = table.lnSuction(g.lnK, g.lnYield, t.path, r.lnTo) - r.lnSuction
			}
			i++
		}
	}
}

// lnLikelihood is the logarithm of the probability of the tests at the first of
// the spreads, if the product is g.
func (t *handTube) lnLikelihood(g gelPoint) float64 {
	t.suppose(g)
	return t.at(&t.grids[0])
}

// at is the logarithm of the probability of the tests at the grid's spread, for
// the product last supposed: for each tester the tests multiplied up by δ + u,
// summed over u by a moving average, the testers multiplied up by δ and summed.
func (t *handTube) at(g *handGrid) (ln float64) {
	product := t.product[:len(g.delta)]
	copy(product, g.delta)
	first, since := 0, 0
	for _, hand := range t.hands {
		ln += t.byHand(g, hand, first)
		first += len(hand)
		for j := range product {
			var sum float64
			for m, p := range t.hand[j : j+len(g.hand)] {
				sum += g.hand[m] * p
			}
			product[j] *= sum
		}
		if since += len(hand); since >= rescaleAfter {
			ln += rescale(product)
			since = 0
		}
	}
	var sum float64
	for _, p := range product {
		sum += p
	}
	return ln + math.Log(sum)
}

// byHand multiplies up one tester's tests by δ + u, and returns the logarithm of
// what was taken out on the way.
func (t *handTube) byHand(g *handGrid, hand []readyTrial, first int) (ln float64) {
	n := len(g.delta) + len(g.hand) - 1
	all := t.hand[:n]
	for k := range all {
		all[k] = 1
	}
	for i := range hand {
		r := &hand[i]
		width := (1 - slipShare) * t.chances(g, t.from[first+i], t.to[first+i], n)
		chance := t.chance[:n]
		for k := range all {
			all[k] *= width*chance[k] + r.slip
		}
		if (i+1)%rescaleAfter == 0 {
			ln += rescale(all)
		}
	}
	return ln
}

// chances fills t.chance so that, times the width returned, it is the chance, by
// δ + u, that a test needs a suction between the two.
func (t *handTube) chances(g *handGrid, from, to float64, n int) (width float64) {
	lo, hi := (g.from-from)/g.rest, (g.from-to)/g.rest
	if width = hi - lo; width < narrow {
		density().ramp(t.chance[:n], (lo+hi)/2, g.stride)
		return width
	}
	phi().ramp(t.chance[:n], hi, g.stride)
	phi().ramp(t.other[:n], lo, g.stride)
	for k, c := range t.other[:n] {
		t.chance[k] -= c
	}
	return 1
}
