package calc

import "math"

// slips returns, for each trial in the caller's order, the probability that it is a slip, over
// the likeliest products.
func (r *readySetup) slips(nodes []node) []float64 {
	const enough = 0.8 // of the probability
	sums := make([]float64, r.count)
	var covered float64
	for _, n := range nodes {
		r.suppose(n.gelPoint)
		r.addSlips(&r.grids[0], n.weight, sums)
		if covered += n.weight; covered > enough {
			break
		}
	}
	for i := range sums {
		sums[i] = min(rounded(sums[i]/covered), 1)
	}
	return sums
}

// addSlips adds to sums, for each trial in the caller's order, the probability that it is a slip if
// the product is the one last supposed, times weight.
func (r *readySetup) addSlips(g *deltaGrid, weight float64, sums []float64) {
	var whole float64
	if len(r.tubes) > 1 {
		whole = r.lnLikelihood(g)
	}
	for k, tube := range r.tubes {
		parts := r.lnInTube(k, g)
		if len(r.tubes) == 1 {
			whole = parts.total()
		}
		part := func(ln float64) float64 { return weight * math.Exp(math.Log(tube.share)+ln-whole) }
		within, below, above := part(parts.within), part(parts.below), part(parts.above)
		all := r.neededIn(k)
		for h := range r.hands {
			hand := &r.hands[h]
			r.slipsOfHand(h, all, g, func(t *readyTrial, slip float64) {
				slip = within*slip + below*t.slip/t.below() + above*t.slip/t.above()
				for _, i := range t.places {
					sums[i] += slip
				}
			})
			all = all[len(hand.trials):]
		}
	}
}

// others returns the probability of δ by all hands but one, the prior included, on the lines of
// the window. It is scaled so that it adds up to 1 once that hand is multiplied in.
func (r *readySetup) others(hand int, g *deltaGrid) []float64 {
	w := &r.window
	n := len(w.product)
	own := r.byDelta[hand*n : (hand+1)*n]
	others := make([]float64, n)
	var sum float64
	for j, p := range w.product {
		p *= g.weight[w.first+j]
		sum += p
		if own[j] > 0 {
			others[j] = p / own[j]
		}
	}
	for j := range others {
		others[j] /= sum
	}
	return others
}

// slipsOfHand gives tell the probability that each trial of one hand is a slip, for δ within the
// window: over δ + u as the other hands, the prior and the hand's own trials have it.
func (r *readySetup) slipsOfHand(h int, all []needed, g *deltaGrid, tell func(t *readyTrial, slip float64)) {
	if r.hands[h].asBell {
		r.slipsOfBell(h, all, g, tell)
		return
	}
	hand, others := &r.hands[h], r.others(h, g)
	first, wide := r.window.first, len(others)+len(g.handWeight)-1
	joint := make([]float64, wide) // of δ + u
	for j, p := range others {
		for m, u := range g.handWeight {
			joint[j+m] += p * u
		}
	}
	for v, p := range r.byDeltaU[h*wide : (h+1)*wide] {
		joint[v] *= p
	}
	for i := range hand.trials {
		t := &hand.trials[i]
		var slip float64
		for v, f := range r.factors(t, all[i], g, first-len(g.handWeight)/2, len(joint)) {
			slip += joint[v] * t.slip / f
		}
		tell(t, slip)
	}
}

// slipsOfBell is slipsOfHand for a hand approximated by a bell: its δ + u is the bell's, drawn
// towards the mean of δ. Merged times are looked at one by one where a slip is likely enough.
func (r *readySetup) slipsOfBell(h int, all []needed, g *deltaGrid, tell func(t *readyTrial, slip float64)) {
	b, w, hand := r.bells[h], &r.window, square(g.tester)
	var δ, sum float64
	for j, p := range w.product {
		p *= g.weight[w.first+j]
		sum += p
		δ += p * g.at(w.first+j)
	}
	if sum > 0 {
		b.at = (b.at*hand + δ/sum*b.variance) / (hand + b.variance)
	}
	b.variance *= hand / (hand + b.variance)
	for i := range r.hands[h].trials {
		t := &r.hands[h].trials[i]
		slip := t.slipBy(b, all[i], g.rest)
		if slip < slipOfNote || t.variance == 0 {
			tell(t, slip)
			continue
		}
		for k := range t.merged {
			one, scale := &t.merged[k], t.scale(all[i])
			need := needed{from: all[i].from - scale*(one.lnFrom-t.lnFrom), to: all[i].to - scale*(one.lnTo-t.lnTo)}
			tell(one, one.slipBy(b, need, g.rest))
		}
	}
}

// slipOfNote is the probability of a slip below which merged times are looked at together.
const slipOfNote = 1e-3

// slipBy returns the probability that the trial is a slip where δ + u is distributed as a bell, by
// the Gauss–Hermite rule of three points (at 0 and ±√3 standard deviations).
func (t *readyTrial) slipBy(b bell, need needed, rest float64) (slip float64) {
	off := math.Sqrt(3 * b.variance)
	for k, weight := range [3]float64{1. / 6, 2. / 3, 1. / 6} {
		f, _, _ := t.around(need, b.at+float64(k-1)*off, rest)
		slip += weight * t.slip / f
	}
	return slip
}
