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

// scratch is what a testedTube writes down on the way.
type scratch struct {
	needed       []needed  // by possible tube and trial, for the product last supposed
	chance       []float64 // what each line gave for one trial
	upper, lower []float64 // for its two ends
	hand         []float64 // for all trials of each hand, by δ + u; window after window, widened by u
	byHand       []float64 // for each hand, summed over u; window after window
	bells        []bell    // by hand, of those that are summed up
	window       window
}

// needed are the suctions that it takes to show by the two ends of a trial, over the
// suction that there was, in logarithms: what δ + u + e has to be.
type needed struct{ from, to float64 }

// window is the stretch of the grid over δ that the trials tell of, for one possible
// tube. Beyond it their probability is that of lnBelow and lnAbove.
type window struct {
	first   int       // line of product[0]
	product []float64 // probability of all trials by δ, over e^ln; the prior is left out
	ln      float64
}

// suppose works out what the trials would need if the product were g: the one part
// that does not depend on the spreads.
func (r *testedTube) suppose(g gelPoint) {
	table := exitTables()[g.rung]
	r.needed = r.needed[:0]
	for _, tube := range r.tubes {
		for _, hand := range r.hands {
			for i := range hand.trials {
				t := &hand.trials[i]
				r.needed = append(r.needed, t.needed(table, g, tube.path))
			}
		}
	}
}

// needed are the suctions that a trial needs. The ends of a short interval lie on a
// straight line: over straight, in ln(time), it is off by less than 1e-4.
func (t *readyTrial) needed(table *ExitTable, g gelPoint, p path) (n needed) {
	if half := (t.lnTo - t.lnFrom) / 2; half < straight {
		at, slope := table.lnSuctionSlope(g.lnK, g.lnYield, p, (t.lnFrom+t.lnTo)/2)
		return needed{from: at - t.lnSuction - half*slope, to: at - t.lnSuction + half*slope}
	}
	n = needed{from: math.Inf(1), to: math.Inf(-1)}
	if t.From > 0 {
		n.from = table.lnSuction(g.lnK, g.lnYield, p, t.lnFrom) - t.lnSuction
	}
	if !t.None() {
		n.to = table.lnSuction(g.lnK, g.lnYield, p, t.lnTo) - t.lnSuction
	}
	return n
}

// straight is half the length up to which an interval is a short one.
const straight = 0.05

// neededBy are the suctions needed in the k-th possible tube.
func (r *testedTube) neededBy(k int) []needed {
	n := len(r.needed) / len(r.tubes)
	return r.needed[k*n : (k+1)*n]
}

// lnLikelihood is the logarithm of the probability of the trials for the product last
// supposed, summed over δ, the hands and the tubes the set-up may have.
func (r *testedTube) lnLikelihood(g *deltaGrid) float64 {
	if len(r.tubes) == 1 {
		return r.lnOfTube(0, g).total()
	}
	ln := math.Inf(-1)
	for k, tube := range r.tubes {
		ln = lnAdd(ln, math.Log(tube.share)+r.lnOfTube(k, g).total())
	}
	return ln
}

// lnParts are the logarithms of what the window, and what lies on either side of it,
// add to the probability of the trials.
type lnParts struct{ within, below, above float64 }

func (p lnParts) total() float64 { return lnAdd(p.within, lnAdd(p.below, p.above)) }

// lnAdd is the logarithm of eᵃ + eᵇ.
func lnAdd(a, b float64) float64 {
	a, b = max(a, b), min(a, b)
	if b < a-40 || math.IsInf(a, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

// lnOfTube leaves in r.window what each δ gave in the k-th possible tube.
func (r *testedTube) lnOfTube(k int, g *deltaGrid) lnParts {
	r.look(k, g)
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

// look works out the window of the k-th possible tube: for each hand its trials
// multiplied up by δ + u and summed over u by a moving average, the hands multiplied.
// The hands summed up come last, all at once.
func (r *testedTube) look(k int, g *deltaGrid) {
	all := r.neededBy(k)
	r.sumUpHands(all, g)
	first, n := r.stretch(all, g)
	w := &r.window
	w.first, w.ln = first, 0
	w.product = grown(w.product, n)
	for j := range w.product {
		w.product[j] = 1
	}
	r.byHand = grown(r.byHand, n*len(r.hands))
	wide := n + len(g.hand) - 1
	r.hand = grown(r.hand, wide*len(r.hands))
	for h := range r.hands {
		hand := &r.hands[h]
		needs := all[:len(hand.trials)]
		all = all[len(hand.trials):]
		if hand.summed {
			continue
		}
		on := r.hand[h*wide : (h+1)*wide]
		w.ln += r.ofHand(on, hand, needs, g, first-len(g.hand)/2)
		average := r.byHand[h*n : (h+1)*n]
		movingAverage(average, on, g.hand)
		for j, p := range average {
			w.product[j] *= p
		}
		if h%8 == 7 {
			w.ln += rescale(w.product)
		}
	}
	r.multiplyBells(g)
}

// grown is xs with length n, made anew where it is too short.
func grown(xs []float64, n int) []float64 {
	if cap(xs) < n {
		return make([]float64, n, 2*n)
	}
	return xs[:n]
}

// stretch returns the lines that the trials tell of: from the lowest to the highest
// suction that any of them needed, and as far around as any δ counts.
func (r *testedTube) stretch(all []needed, g *deltaGrid) (first, n int) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for h := range r.hands {
		a, b := r.bells[h].at-g.timedReach, r.bells[h].at+g.timedReach
		if !r.hands[h].summed {
			a, b = r.hands[h].span(all, g.timedReach, g.shownReach)
		}
		lo, hi = min(lo, a), max(hi, b)
		all = all[len(r.hands[h].trials):]
	}
	if !(lo < hi) {
		return 0, 0
	}
	first = min(max(int(math.Floor(lo/g.step))+g.half, 0), g.lines())
	last := min(max(int(math.Ceil(hi/g.step))+g.half+1, first), g.lines())
	return first, last - first
}

// span is the stretch of δ + u within which a hand's trials are not settled: timed ones
// reach so far, and so does the open side of a trial that only bounds its suction.
func (h *handTrials) span(all []needed, timed, open float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, i := range h.bulk {
		n := all[i]
		switch t := &h.trials[i]; {
		case t.None():
			lo, hi = min(lo, n.from-open), max(hi, n.from+timed)
		case t.From == 0:
			lo, hi = min(lo, n.to-timed), max(hi, n.to+open)
		default:
			lo, hi = min(lo, n.to-timed), max(hi, n.from+timed)
		}
	}
	return lo, hi
}

// rescaleAfter so many tests a product of probabilities is rescaled: the least of
// them is slipShare·leastSlip, 2e-11, so that 16 of them stay far above underflow.
const rescaleAfter = 16

// rescale divides by the largest value and returns its logarithm.
func rescale(xs []float64) float64 {
	if len(xs) == 0 {
		return 0
	}
	top := slices.Max(xs)
	if !(top > 0) {
		return 0
	}
	for k := range xs {
		xs[k] /= top
	}
	return math.Log(top)
}

// ofHand fills dst with the probability of one hand's trials by δ + u, on the lines
// from that one on, which may lie before the grid, and returns the logarithm of what
// was taken out on the way.
func (r *testedTube) ofHand(dst []float64, hand *handTrials, all []needed, g *deltaGrid, from int) (ln float64) {
	lo, hi := hand.own(all, g, from, len(dst))
	on := dst[lo:hi]
	fill(on, 1)
	since := 0
	for i := range hand.trials {
		t := &hand.trials[i]
		times := len(t.given)
		if times > 1 {
			factors := r.factors(t, all[i], g, from+lo, len(on))
			if times > rescaleAfter {
				ln += float64(times) * rescale(factors)
			}
			for k, f := range factors {
				on[k] *= power(f, times)
			}
		} else {
			r.multiply(on, t, all[i], g, from+lo)
		}
		if since += times; since >= rescaleAfter {
			ln += rescale(on)
			since = 0
		}
	}
	if lo > 0 {
		fill(dst[:lo], math.Exp(hand.lnBelow-ln))
	}
	if hi < len(dst) {
		fill(dst[hi:], math.Exp(hand.lnAbove-ln))
	}
	return ln
}

// own is the part of so many lines on which the hand's trials are not settled.
func (h *handTrials) own(all []needed, g *deltaGrid, from, lines int) (lo, hi int) {
	open := 5.5 * g.rest
	a, b := h.span(all, min(open, 8*g.rest/math.Sqrt(float64(h.tests))), open)
	lo = min(max(int(math.Floor(a/g.step))+g.half-from, 0), lines)
	hi = min(max(int(math.Ceil(b/g.step))+g.half-from+1, lo), lines)
	return lo, hi
}

func fill(xs []float64, x float64) {
	for k := range xs {
		xs[k] = x
	}
}

// power is x to a whole power.
func power(x float64, n int) float64 {
	y := 1.0
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			y *= x
		}
		x *= x
	}
	return y
}

// narrow is the width, in standard scores, up to which a trial's interval is taken as
// its width times the density in its middle, and half of what the density's bend adds.
// The error of that is below a part in 5 000 within two standard deviations.
const narrow = 0.5

// factors returns the probability of a trial's outcome, slips included, by δ + u on n
// lines of the grid.
func (r *testedTube) factors(t *readyTrial, need needed, g *deltaGrid, first, n int) []float64 {
	r.chance = grown(r.chance, n)
	fill(r.chance, 1)
	r.multiply(r.chance, t, need, g, first)
	return r.chance
}

// multiply multiplies the probability of a trial's outcome, slips included, into what
// stands on the lines of the grid from first on.
func (r *testedTube) multiply(on []float64, t *readyTrial, need needed, g *deltaGrid, first int) {
	lo, hi := (g.at(first)-need.from)/g.rest, (g.at(first)-need.to)/g.rest
	width, share := hi-lo, 1-slipShare
	if width < narrow {
		multiplyDensity(on, (lo+hi)/2, g.stride, width, share, t.slip)
		return
	}
	r.upper, r.lower = grown(r.upper, len(on)), grown(r.lower, len(on))
	phi().ramp(r.upper, hi, g.stride)
	phi().ramp(r.lower, lo, g.stride)
	upper, lower := r.upper[:len(on)], r.lower[:len(on)]
	for k := range on {
		on[k] *= share*(upper[k]-lower[k]) + t.slip
	}
}
