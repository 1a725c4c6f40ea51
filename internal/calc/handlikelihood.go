package calc

import (
	"math"
	"slices"
)

// span returns the interval of δ + u outside which a hand's trials are settled: outside it
// another δ + u makes them no more and no less likely. timed is how far around a measured time
// it reaches, open how far it reaches on the open side of a trial that only bounds the suction.
func (h *handTrials) span(all []needed, timed, open float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, i := range h.bounding {
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

// openLines returns which of the lines, counted from the first, lie where the hand's trials
// are not settled.
func (h *handTrials) openLines(all []needed, g *deltaGrid, first, lines int) (lo, hi int) {
	open := 5.5 * g.rest // beyond it Φ is 0 or 1 to 2e-8
	a, b := h.span(all, min(open, 8*g.rest/math.Sqrt(float64(h.tests))), open)
	lo, n := g.linesBetween(a, b, first, lines)
	return lo, lo + n
}

// rescaleAfter is how many tests are multiplied up before the product is rescaled. One test
// has at least the probability slipShare·leastSlip = 2e-11, so 16 stay far above underflow.
const rescaleAfter = 16

// multiplyHand fills dst with the probability of one hand's trials by δ + u, on the lines from
// first on, which may lie before the grid. It returns the logarithm of what it divided by.
func (r *readySetup) multiplyHand(dst []float64, hand *handTrials, all []needed, g *deltaGrid, first int) (ln float64) {
	lo, hi := hand.openLines(all, g, first, len(dst))
	open := dst[lo:hi]
	fill(open, 1)
	since := 0
	for i := range hand.trials {
		t := &hand.trials[i]
		times := len(t.places)
		if times > 1 {
			factors := r.factors(t, all[i], g, first+lo, len(open))
			if times > rescaleAfter {
				ln += float64(times) * rescale(factors)
			}
			for k, f := range factors {
				open[k] *= power(f, times)
			}
		} else {
			r.multiply(open, t, all[i], g, first+lo)
		}
		if since += times; since >= rescaleAfter {
			ln += rescale(open)
			since = 0
		}
	}
	fill(dst[:lo], math.Exp(hand.lnBelow-ln))
	fill(dst[hi:], math.Exp(hand.lnAbove-ln))
	return ln
}

// narrow is the width of a trial's interval, in standard scores, up to which its probability
// is the width times the density in the middle, plus the first correction by the density's
// second derivative. The error is below a part in 5 000 within two standard deviations.
const narrow = 0.5

// factors returns the probability of a trial's outcome, slips included, by δ + u on n lines of
// the grid from first on.
func (r *readySetup) factors(t *readyTrial, need needed, g *deltaGrid, first, n int) []float64 {
	r.factor = grown(r.factor, n)
	fill(r.factor, 1)
	r.multiply(r.factor, t, need, g, first)
	return r.factor
}

// multiply multiplies dst by the probability of a trial's outcome, slips included, by δ + u on
// the lines of the grid from first on.
func (r *readySetup) multiply(dst []float64, t *readyTrial, need needed, g *deltaGrid, first int) {
	lo, hi := (g.at(first)-need.from)/g.rest, (g.at(first)-need.to)/g.rest
	width, share := hi-lo, 1-slipShare
	if width < narrow {
		multiplyDensity(dst, (lo+hi)/2, g.stride, width, share, t.slip)
		return
	}
	r.upper, r.lower = grown(r.upper, len(dst)), grown(r.lower, len(dst))
	phi().ramp(r.upper, hi, g.stride)
	phi().ramp(r.lower, lo, g.stride)
	upper, lower := r.upper[:len(dst)], r.lower[:len(dst)]
	for k := range dst {
		dst[k] *= share*(upper[k]-lower[k]) + t.slip
	}
}

// rescale divides by the largest value and returns its logarithm, 0 where nothing is above 0.
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

// power returns xⁿ for n ≥ 0.
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
