package calc

import (
	"cmp"
	"math"
	"math/rand/v2"
)

// trade are set-ups as the trade uses them, thin wall: bore and exposed length
// in millimetres.
var trade = [][2]float64{
	{0.241, 13}, {0.241, 19}, {0.19, 13}, {0.165, 13}, {0.165, 4}, {0.165, 8},
	{0.125, 8}, {0.105, 4}, {0.292, 38}, {0.44, 50}, {0.241, 38},
}

// world draws products and tests as model and log would have them, or as they
// would be if the model were wrong in a given way.
type world struct {
	rng    *rand.Rand
	spread Spread
	slips  float64 // share of slips of the pen
	narrow float64 // true bore as a part of the recorded one
	quick  float64 // the first tester logs this part of the true time; 0 or 1: an honest one
	hands  int     // testers, each with one hand for all set-ups; 0: a new hand on every set-up
	offset []float64

	odd float64 // share of set-ups that are odd
	// how much the lots of the gel vary, in ln(suction); 0: as assumed, and the tests of a set-up are of one lot
	lots       float64
	later      float64 // how much firmer the next lot is than those tested
	unrecorded bool    // of a needle only the gauge is on record
	classOff   int     // by how many steps the class on record is off
	real       map[Setup]Setup

	slipped bool // whether the last test was a slip
}

// truth is one product as the world has it.
type truth struct {
	class GelClass
	gel   gelPoint // rung unused: index is not on the ladder
	index float64
	table *exitTable
	delta map[Setup]float64
	odd   map[Setup]bool
	lot   map[Setup]float64 // what another syringe adds
	hands map[handOn]float64
}

// handOn is a tester's hand on one set-up.
type handOn struct {
	setup  Setup
	tester int
}

func newWorld(seed uint64) *world {
	return &world{rng: rand.New(rand.NewPCG(seed, 1)), spread: DefaultSpread(), slips: slipShare, narrow: 1,
		odd: oddShare, real: map[Setup]Setup{}}
}

// product draws a product of a class from its prior, the flow index cut to its range.
func (w *world) product(class GelClass) *truth {
	p, _ := class.prior()
	t := &truth{class: class, delta: map[Setup]float64{}, odd: map[Setup]bool{}, lot: map[Setup]float64{},
		hands: map[handOn]float64{}}
	for t.index = -1; t.index < minIndex || t.index > maxIndex; {
		t.index = w.draw(p.Index)
	}
	t.gel = gelPoint{lnK: w.draw(p.LnConsistency), lnYield: w.draw(p.LnYield)}
	t.table = newExitTable(t.index)
	return t
}

func (w *world) draw(d normal) float64 { return d.Mean + d.SD*w.rng.NormFloat64() }

// setups picks so many different set-ups of the trade, supplied syringe or, one in
// five, fixed needle.
func (w *world) setups(n int) []Setup {
	var all []Setup
	for _, i := range w.rng.Perm(len(trade))[:n] {
		s := needle(trade[i][0], trade[i][1])
		if w.rng.IntN(5) == 0 {
			s.Gas = FixedNeedleGas
		}
		all = append(all, s)
	}
	return all
}

// departs returns the set-up's departure from the model, drawn once.
func (w *world) departs(t *truth, s Setup) float64 {
	if _, drawn := t.delta[s]; !drawn {
		spread := w.spread.Combination
		if t.odd[s] = w.rng.Float64() < w.odd; t.odd[s] {
			spread = oddSpread
		}
		t.delta[s] = spread * w.rng.NormFloat64()
	}
	return t.delta[s]
}

// margin is ln(suction) over what it takes to show by a time, departure included.
func (w *world) margin(t *truth, s Setup, pull Volume, by Seconds) float64 {
	p, _ := Draw{Pull: pull, Gas: s.Gas}.Suction()
	real := s.Tube
	if r, ok := w.real[s]; ok {
		real = r.Tube
	}
	real.Bore *= Length(w.narrow)
	return math.Log(float64(p)) + w.departs(t, s) - t.table.lnSuction(t.gel, real.lnAspect(), math.Log(float64(by)))
}

// nextMargin is the margin of the next test, which is with another syringe.
func (w *world) nextMargin(t *truth, s Setup, pull Volume, by Seconds) float64 {
	if _, drawn := t.lot[s]; !drawn {
		t.lot[s] = cmp.Or(w.lots, lotSpread) * w.rng.NormFloat64()
	}
	return w.margin(t, s, pull, by) + t.lot[s]
}

// laterShare is share with a gel as firm as the next lot: what makes it firmer, in K
// and τy alike, takes as many times the suction.
func (w *world) laterShare(t *truth, s Setup, pull Volume, by Seconds) float64 {
	return phi().at((w.nextMargin(t, s, pull, by) - math.Log1p(w.later)) / w.spread.oneTest())
}

// forget returns the set-up of the needle whose bore it is nearest to, with its gauge
// alone on record; in truth every second one is regular wall and the others thin.
func (w *world) forget(s Setup) Setup {
	gauge, far := 0, math.Inf(1)
	for _, g := range Gauges() {
		bore, _ := MinimumBore(g, Thin)
		if d := math.Abs(math.Log(float64(bore / s.Tube.Bore))); d < far {
			gauge, far = g, d
		}
	}
	known, _ := setupOfGauge(gauge, s.Tube.Length, s.Gas)
	if _, met := w.real[known]; !met {
		real := known
		if w.rng.IntN(2) == 0 {
			real.Tube.Bore, _ = MinimumBore(gauge, Regular)
		}
		w.real[known] = real
	}
	return known
}

// share is the true share of tests that show by a time.
func (w *world) share(t *truth, s Setup, pull Volume, by Seconds) float64 {
	return phi().at(w.nextMargin(t, s, pull, by) / w.spread.oneTest())
}

// hand is a tester's hand on a set-up: the same on all where the world has testers.
func (w *world) hand(t *truth, s Setup, tester int) float64 {
	if w.hands == 0 {
		on := handOn{s, tester}
		if _, drawn := t.hands[on]; !drawn {
			t.hands[on] = w.spread.Tester*w.rng.NormFloat64() + w.lots*w.rng.NormFloat64()
		}
		return t.hands[on]
	}
	for len(w.offset) < w.hands {
		w.offset = append(w.offset, w.spread.Tester*w.rng.NormFloat64())
	}
	return w.offset[tester]
}

// test makes one test by a tester, as it would stand in the log.
func (w *world) test(t *truth, s Setup, tester int) Trial {
	pull := []Volume{0.05, 0.1, 0.1, 0.1, 0.2}[w.rng.IntN(5)] * Millilitre
	watched := []Seconds{20, 30, 30, 60}[w.rng.IntN(4)]
	w.slipped = w.rng.Float64() < w.slips
	at := w.time(t, s, pull, w.hand(t, s, tester)+w.spread.Rest*w.rng.NormFloat64())
	if w.slipped {
		at = Seconds(math.Inf(1))
		if w.rng.IntN(2) == 0 {
			at = slipFrom * Seconds(math.Exp(w.rng.Float64()*math.Log(float64(slipTo/slipFrom))))
			watched = slipTo
		}
	}
	if tester == 0 && w.quick > 0 && !w.slipped {
		at *= Seconds(w.quick)
	}
	return w.log(pull, at, watched, int64(tester))
}

// time is when the liquid arrives at a suction so many times the computed one.
func (w *world) time(t *truth, s Setup, pull Volume, ln float64) Seconds {
	margin := func(by float64) float64 { return w.margin(t, s, pull, Seconds(math.Exp(by))) + ln }
	lo, hi := math.Log(1e-6), math.Log(1e4)
	if margin(hi) < 0 {
		return Seconds(math.Inf(1))
	}
	for range 60 {
		if mid := (lo + hi) / 2; margin(mid) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return Seconds(math.Exp(hi))
}

// log writes a time down as testers do, by film or by stopwatch, or none. The
// clock's readings are a fixed ladder and the watch ends on one of its rungs, so
// that the probability of what is logged is just what the likelihood takes it for.
func (w *world) log(pull Volume, at, watched Seconds, hand int64) Trial {
	within := []Seconds{1. / 30, 1. / 30, 1. / 60, StopwatchError}[w.rng.IntN(4)]
	rung := func(x Seconds) Seconds { return Seconds(math.Floor(float64(x/(2*within)) + 1e-9)) }
	if end := 2 * within * rung(watched); at > end {
		return Trial{Pull: pull, From: end, To: Seconds(math.Inf(1)), Hand: hand}
	}
	k := rung(at)
	return Trial{Pull: pull, From: 2 * within * k, To: 2 * within * (k + 1), Hand: hand}
}
