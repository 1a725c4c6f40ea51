package calc

import "math"

// scratch is the working memory of a readySetup. It is used again for every product.
type scratch struct {
	needed       []needed  // by possible tube and trial, for the product last supposed
	byDeltaU     []float64 // probability of each hand's trials by δ + u: the window, widened by the reach of u
	byDelta      []float64 // the same by δ, summed over u: the window, hand after hand
	factor       []float64 // probability of one trial on the lines asked about
	upper, lower []float64 // Φ at its two ends
	bells        []bell    // by hand; zero for a hand without a bell
	window       window
}

// window is the part of the grid over δ in which the trials tell one δ from another, for one
// possible tube. Below it their probability is e^lnBelow, above it e^lnAbove.
type window struct {
	first   int       // grid line of product[0]
	product []float64 // probability of all trials by δ, divided by e^ln; without δ's prior
	ln      float64
}

// lnLikelihood returns the logarithm of the probability of the set-up's trials for the
// product last supposed, summed over its possible tubes, δ and each hand's u.
func (r *readySetup) lnLikelihood(g *deltaGrid) float64 {
	ln := math.Inf(-1)
	for k, tube := range r.tubes {
		ln = lnAdd(ln, math.Log(tube.share)+r.lnInTube(k, g).total())
	}
	return ln
}

// lnParts divides the probability of the trials by where δ lies: within the window, below it
// or above it. Each part is a logarithm.
type lnParts struct{ within, below, above float64 }

func (p lnParts) total() float64 { return lnAdd(p.within, lnAdd(p.below, p.above)) }

// lnInTube returns the probability of the trials in the k-th possible tube, and leaves in
// r.window what each δ contributes.
func (r *readySetup) lnInTube(k int, g *deltaGrid) lnParts {
	r.fillWindow(k, g)
	w := &r.window
	var sum float64
	for j, p := range w.product {
		sum += p * g.weight[w.first+j]
	}
	last := w.first + len(w.product)
	return lnParts{
		within: w.ln + lnOrNever(sum),
		below:  r.lnBelow + lnOrNever(g.before[w.first]),
		above:  r.lnAbove + lnOrNever(g.before[g.lines()]-g.before[last]),
	}
}

// rescaleHands is how many hands are multiplied into the window before it is rescaled.
const rescaleHands = 8

// fillWindow multiplies up what the hands say of δ in the k-th possible tube. What a hand's
// trials say of δ + u is summed over u by a moving average; the hands with a bell come last.
func (r *readySetup) fillWindow(k int, g *deltaGrid) {
	all := r.neededIn(k)
	r.findBells(all, g)
	first, n := r.windowLines(all, g)
	w := &r.window
	w.first, w.ln = first, 0
	w.product = grown(w.product, n)
	fill(w.product, 1)
	r.byDelta = grown(r.byDelta, n*len(r.hands))
	wide := n + len(g.handWeight) - 1
	r.byDeltaU = grown(r.byDeltaU, wide*len(r.hands))
	for h := range r.hands {
		hand := &r.hands[h]
		needs := all[:len(hand.trials)]
		all = all[len(hand.trials):]
		if hand.asBell {
			continue
		}
		byDeltaU, byDelta := r.byDeltaU[h*wide:(h+1)*wide], r.byDelta[h*n:(h+1)*n]
		w.ln += r.multiplyHand(byDeltaU, hand, needs, g, first-len(g.handWeight)/2)
		movingAverage(byDelta, byDeltaU, g.handWeight)
		for j, p := range byDelta {
			w.product[j] *= p
		}
		if h%rescaleHands == rescaleHands-1 {
			w.ln += rescale(w.product)
		}
	}
	r.multiplyBells(g)
}

// windowLines returns the lines of the window: from the lowest to the highest suction that
// any trial needs, and as far around as a δ can matter. There are none without trials.
func (r *readySetup) windowLines(all []needed, g *deltaGrid) (first, n int) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for h := range r.hands {
		a, b := r.bells[h].at-g.timedReach, r.bells[h].at+g.timedReach
		if !r.hands[h].asBell {
			a, b = r.hands[h].span(all, g.timedReach, g.shownReach)
		}
		lo, hi = min(lo, a), max(hi, b)
		all = all[len(r.hands[h].trials):]
	}
	if !(lo < hi) {
		return 0, 0
	}
	return g.linesBetween(lo, hi, 0, g.lines())
}

// lnAdd returns ln(eᵃ + eᵇ). What adds less than e⁻⁴⁰ of the larger is left out.
func lnAdd(a, b float64) float64 {
	a, b = max(a, b), min(a, b)
	if b < a-40 || math.IsInf(a, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

// lnOrNever returns ln x, and −Inf where x is not above 0.
func lnOrNever(x float64) float64 {
	if !(x > 0) {
		return math.Inf(-1)
	}
	return math.Log(x)
}

// grown returns xs with length n, allocated anew if it is too short. Its values are undefined.
func grown(xs []float64, n int) []float64 {
	if cap(xs) < n {
		return make([]float64, n, 2*n)
	}
	return xs[:n]
}

func fill(xs []float64, x float64) {
	for k := range xs {
		xs[k] = x
	}
}
