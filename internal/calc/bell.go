package calc

import "math"

// bell is what the many timed trials of one hand say of its δ + u: a normal curve around
// the likeliest, with e^ln at its top. Each of the trials is such a curve but for its slip,
// and the product of many is one to within what an estimate promises
// (TestSummedUpSaysWhatOneByOneSays), so that it need not be worked out line by line.
type bell struct{ at, variance, ln float64 }

// The top is looked for in at most so many steps, until one is shorter than this part of
// the bell's width: what is left changes the height by less than a part in 200. A bell is
// at most so many times as wide as one test.
const (
	bellSteps  = 12
	bellCloser = 0.1
	bellWidest = 4
)

// sumUp finds the bell of a hand's trials.
func (h *handTrials) sumUp(all []needed, rest float64) bell {
	start := h.start(all)
	b := bell{at: start + h.further} // the product before was a near one
	for range bellSteps {
		slope, bend := h.slopes(all, b.at, rest)
		b.variance = 1 / max(-bend, 1/square(bellWidest*rest))
		step := min(max(slope*b.variance, -rest), rest)
		b.at += step
		if math.Abs(step) < bellCloser*math.Sqrt(b.variance) {
			break
		}
	}
	h.further = b.at - start
	b.ln = h.lnAt(all, b.at, rest)
	return b
}

// start is the mean of the trials between which the hand's own δ + u lies.
func (h *handTrials) start(all []needed) float64 {
	var sum float64
	for _, i := range h.bulk {
		switch n := all[i]; {
		case h.trials[i].None():
			sum += n.from
		case h.trials[i].From == 0:
			sum += n.to
		default:
			sum += (n.from + n.to) / 2
		}
	}
	return sum / float64(len(h.bulk))
}

// slopes are the first and the second derivative, by δ + u, of the logarithm of the
// probability of the trials.
func (h *handTrials) slopes(all []needed, at, rest float64) (slope, bend float64) {
	for i := range h.trials {
		t := &h.trials[i]
		f, by, twice := t.around(all[i], at, rest)
		by /= f
		n := float64(len(t.given))
		slope += n * by
		bend += n * (twice/f - by*by)
	}
	return slope, bend
}

// lnAt is the logarithm of the probability of the trials at one δ + u. Times gathered lie
// around their middle, and what that takes from their probability is added.
func (h *handTrials) lnAt(all []needed, at, rest float64) (ln float64) {
	product := 1.0
	for i := range h.trials {
		t := &h.trials[i]
		f, by, twice := t.around(all[i], at, rest)
		n := len(t.given)
		if n > rescaleAfter {
			ln += float64(n) * math.Log(f)
		} else if product *= power(f, n); product < 1e-100 { // one more trial leaves it above 1e-300
			ln += math.Log(product)
			product = 1
		}
		if t.variance > 0 {
			ln += float64(n) / 2 * t.variance * square(t.scale(all[i])) * (twice/f - square(by/f))
		}
	}
	return ln + math.Log(product)
}

// scale is how much less suction, in logarithms, a longer time needs.
func (t *readyTrial) scale(n needed) float64 { return (n.from - n.to) / (t.lnTo - t.lnFrom) }

// around is the probability of a trial's outcome at one δ + u, slips included, and its
// first and second derivative.
func (t *readyTrial) around(n needed, at, rest float64) (f, slope, bend float64) {
	const share = 1 - slipShare
	lo, hi := (at-n.from)/rest, (at-n.to)/rest
	if width := hi - lo; width < narrow {
		z, w := (lo+hi)/2, width*width/24
		d, zz := share*width*density().at(z), z*z
		return d*(1+w*(zz-1)) + t.slip, -d * z * (1 + w*(zz-3)) / rest, d * (zz - 1 + w*(zz*(zz-6)+3)) / square(rest)
	}
	f = t.slip
	if t.None() {
		f += share
	} else {
		d := share * density().at(hi)
		f, slope, bend = f+share*phi().at(hi), d/rest, -hi*d/square(rest)
	}
	if t.From > 0 {
		d := share * density().at(lo)
		f, slope, bend = f-share*phi().at(lo), slope-d/rest, bend+lo*d/square(rest)
	}
	return f, slope, bend
}

// sumUpHands finds the bells of the hands that are summed up.
func (r *testedTube) sumUpHands(all []needed, g *deltaGrid) {
	r.bells = r.bells[:0]
	for h := range r.hands {
		hand := &r.hands[h]
		var b bell
		if hand.summed {
			b = hand.sumUp(all, g.rest)
		}
		r.bells = append(r.bells, b)
		all = all[len(hand.trials):]
	}
}

// multiplyBells multiplies what the hands summed up say of δ into the window: each bell
// is wider by what the hand's u may be, and all together are one.
func (r *testedTube) multiplyBells(g *deltaGrid) {
	w := &r.window
	var known, sum, squares float64
	for h, b := range r.bells {
		if !r.hands[h].summed {
			continue
		}
		wide := b.variance + square(g.tester)
		w.ln += b.ln + math.Log(b.variance/wide)/2
		known += 1 / wide
		sum += b.at / wide
		squares += square(b.at) / wide
	}
	if known == 0 {
		return
	}
	centre := sum / known
	w.ln -= (squares - centre*sum) / 2
	for j := range w.product {
		w.product[j] *= math.Exp(-known / 2 * square(g.at(w.first+j)-centre))
	}
}
