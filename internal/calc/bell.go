package calc

import "math"

// bell approximates the probability of one hand's many timed trials by δ + u: a normal curve
// with e^ln at its top (Laplace's method). Each trial is such a curve but for its slip, and the
// product of many is one to within the accuracy of Fit (TestSummedUpSaysWhatOneByOneSays). So
// it need not be worked out line by line.
type bell struct{ at, variance, ln float64 }

// Newton's method for the top of a bell: the most steps, the part of the bell's width below
// which a step is the last (the height is then right to a part in 200), and the most that a
// bell may be as wide, in spreads of one test.
const (
	bellSteps  = 12
	bellCloser = 0.1
	bellWidest = 4
)

// bell approximates the probability of the hand's trials.
func (h *handTrials) bell(all []needed, rest float64) bell {
	start := h.start(all)
	b := bell{at: start + h.bellOffset} // fits ask for similar products one after the other
	for range bellSteps {
		slope, bend := h.slopes(all, b.at, rest)
		b.variance = 1 / max(-bend, 1/square(bellWidest*rest))
		step := min(max(slope*b.variance, -rest), rest)
		b.at += step
		if math.Abs(step) < bellCloser*math.Sqrt(b.variance) {
			break
		}
	}
	h.bellOffset = b.at - start
	b.ln = h.lnAt(all, b.at, rest)
	return b
}

// start returns the mean of what the bounding trials need: where the search for the top begins.
func (h *handTrials) start(all []needed) float64 {
	var sum float64
	for _, i := range h.bounding {
		switch n := all[i]; {
		case h.trials[i].None():
			sum += n.from
		case h.trials[i].From == 0:
			sum += n.to
		default:
			sum += (n.from + n.to) / 2
		}
	}
	return sum / float64(len(h.bounding))
}

// slopes returns the first and the second derivative, by δ + u, of the logarithm of the
// probability of the trials.
func (h *handTrials) slopes(all []needed, at, rest float64) (slope, bend float64) {
	for i := range h.trials {
		t := &h.trials[i]
		f, by, twice := t.around(all[i], at, rest)
		by /= f
		n := float64(len(t.places))
		slope += n * by
		bend += n * (twice/f - by*by)
	}
	return slope, bend
}

// lnAt returns the logarithm of the probability of the trials at one δ + u. Merged times lie
// around their mean; a term of second order in their variance makes up for that.
func (h *handTrials) lnAt(all []needed, at, rest float64) (ln float64) {
	product := 1.0
	for i := range h.trials {
		t := &h.trials[i]
		f, by, twice := t.around(all[i], at, rest)
		n := len(t.places)
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

// scale is by how much the suction needed falls as the time grows, both in logarithms.
func (t *readyTrial) scale(n needed) float64 { return (n.from - n.to) / (t.lnTo - t.lnFrom) }

// around returns the probability of a trial's outcome at one δ + u, slips included, with its
// first and second derivative. For a narrow interval it is the approximation of multiply.
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

// findBells works out the bell of each hand that is approximated by one.
func (r *readySetup) findBells(all []needed, g *deltaGrid) {
	r.bells = r.bells[:0]
	for h := range r.hands {
		hand := &r.hands[h]
		var b bell
		if hand.asBell {
			b = hand.bell(all, g.rest)
		}
		r.bells = append(r.bells, b)
		all = all[len(hand.trials):]
	}
}

// multiplyBells multiplies the bells into the window. The hand's u makes each of them wider,
// and the product of normal curves is one normal curve.
func (r *readySetup) multiplyBells(g *deltaGrid) {
	w := &r.window
	var precision, sum, squares float64
	for h, b := range r.bells {
		if !r.hands[h].asBell {
			continue
		}
		variance := b.variance + square(g.tester)
		w.ln += b.ln + math.Log(b.variance/variance)/2
		precision += 1 / variance
		sum += b.at / variance
		squares += square(b.at) / variance
	}
	if precision == 0 {
		return
	}
	centre := sum / precision
	w.ln -= (squares - centre*sum) / 2
	for j := range w.product {
		w.product[j] *= math.Exp(-precision / 2 * square(g.at(w.first+j)-centre))
	}
}
