package calc

import (
	"cmp"
	"math"
	"slices"
)

// testedTube is one tested set-up made ready for the many evaluations of a fit: its
// trials by hand in an order of their own, logarithms taken, and the tubes it may have.
type testedTube struct {
	setup Setup
	tubes []possibleTube
	hands []handTrials
	count int // trials, in the caller's order

	// The logarithm of the probability of all trials if δ is far below and far above
	// everything that any of them tells of.
	lnBelow, lnAbove float64

	grids []deltaGrid // one for each spread it is asked about; Fit asks about one
	scratch
}

// handTrials are the trials of one hand.
type handTrials struct {
	trials           []readyTrial
	tests, timed     int     // in the caller's order, and of them those with a time above 0
	summed           bool    // summed up by a bell
	further          float64 // of that bell, from where the search for it began, at the product before
	lnBelow, lnAbove float64 // as of the set-up
	bulk             []int   // places of the trials between which its own δ + u lies
}

// readyTrial is a trial, or several that are as good as equal, with its logarithms taken.
type readyTrial struct {
	Trial
	lnSuction    float64
	lnFrom, lnTo float64
	variance     float64      // of the logarithms of the times gathered
	slip         float64      // probability of this outcome by a slip, slip included
	given        []int        // places in the caller's order
	gathered     []readyTrial // the same, each as it was
}

// below and above are the probability of the outcome where the suction is far too
// little, and more than enough.
func (t *readyTrial) below() float64 {
	if t.None() {
		return 1 - slipShare + t.slip
	}
	return t.slip
}

func (t *readyTrial) above() float64 {
	if !t.None() && t.From == 0 {
		return 1 - slipShare + t.slip
	}
	return t.slip
}

// prepare checks a tested set-up and makes it ready.
func prepare(t TestedSetup) (*testedTube, error) {
	if err := t.Setup.check(); err != nil {
		return nil, err
	}
	r := &testedTube{setup: t.Setup, tubes: t.Setup.tubes(), count: len(t.Trials)}
	byHand := map[int64][]readyTrial{}
	for i, trial := range t.Trials {
		ready, err := trial.ready(t.Setup.Gas)
		if err != nil {
			return nil, err
		}
		ready.given = []int{i}
		byHand[trial.Hand] = append(byHand[trial.Hand], ready)
	}
	for _, hand := range byHand {
		r.hands = append(r.hands, newHandTrials(hand))
	}
	// By what the hands made, and not by their numbers, which say nothing.
	slices.SortFunc(r.hands, func(a, b handTrials) int {
		return slices.CompareFunc(a.trials, b.trials, func(a, b readyTrial) int {
			return cmp.Or(a.compare(b.Trial), cmp.Compare(len(a.given), len(b.given)))
		})
	})
	for _, h := range r.hands {
		r.lnBelow += h.lnBelow
		r.lnAbove += h.lnAbove
	}
	return r, nil
}

func newHandTrials(trials []readyTrial) handTrials {
	slices.SortFunc(trials, func(a, b readyTrial) int {
		return cmp.Or(a.compare(b.Trial), cmp.Compare(a.given[0], b.given[0]))
	})
	h := handTrials{tests: len(trials)}
	for _, t := range trials {
		if !t.None() && t.From > 0 {
			h.timed++
		}
	}
	h.summed = h.timed >= manyTrials && 4*h.timed >= h.tests
	h.gather(trials)
	for _, t := range h.trials {
		h.lnBelow += float64(len(t.given)) * math.Log(t.below())
		h.lnAbove += float64(len(t.given)) * math.Log(t.above())
	}
	h.bulk = h.middle()
	return h
}

// telling is about how many tests with a time say as much of δ + u as all of them: those
// without one bound it, and the more of them the less each adds.
func (h *handTrials) telling() int { return h.timed + min(h.tests-h.timed, 16) }

// middle are the places of the trials that bound a hand's own δ + u: all of a few. Of
// many those with a quarter of their pull before and a quarter after them, for what
// lies outside the middle of so many trials is next to impossible.
func (h *handTrials) middle() (places []int) {
	for first := 0; first < len(h.trials); {
		last, n := first, 0
		for last < len(h.trials) && h.trials[last].Pull == h.trials[first].Pull {
			n += len(h.trials[last].given)
			last++
		}
		before := 0
		for i := first; i < last; i++ {
			t := &h.trials[i]
			after := before + len(t.given)
			edge := before <= n/4 && after > n/4 || before <= n-1-n/4 && after > n-1-n/4
			if h.tests < fewToBound || n < 4 || edge {
				places = append(places, i)
			}
			before = after
		}
		first = last
	}
	return places
}

// fewToBound is how many trials all bound their hand's own δ + u.
const fewToBound = 16

func (t Trial) ready(gas Volume) (readyTrial, error) {
	if err := t.check(); err != nil {
		return readyTrial{}, err
	}
	p, err := Draw{Pull: t.Pull, Gas: gas}.Suction(0)
	if err != nil {
		return readyTrial{}, err
	}
	return readyTrial{
		Trial:     t,
		lnSuction: math.Log(float64(p)),
		lnFrom:    math.Log(float64(t.From)),
		lnTo:      math.Log(float64(t.To)),
		slip:      slipShare * slipLikelihood(t),
	}, nil
}

// A hand that timed manyTrials, a quarter of its tests at least, is summed up by a bell.
// Of its tests those within gatheredWithin of each other (in logarithms of the time,
// half of what one test differs from the next) and about as exactly timed are taken as one,
// made so many times over, at the mean of their logarithms; how far they lie apart is
// kept as a variance. So the cost of a set-up with thousands of tests is bounded.
const (
	manyTrials     = 10
	gatheredWithin = 0.16
	widthWithin    = 0.1
)

// gather puts equal trials of a hand together, and similar ones where it is summed up,
// sorted as they are.
func (h *handTrials) gather(trials []readyTrial) {
next:
	for _, t := range trials {
		for k := len(h.trials) - 1; k >= 0; k-- {
			last := &h.trials[k]
			if last.Pull != t.Pull || t.lnFrom-last.gathered[0].lnFrom > gatheredWithin {
				break
			}
			if last.compare(t.Trial) == 0 || h.summed && last.alike(&t) {
				last.join(&t)
				continue next
			}
		}
		t.gathered = []readyTrial{t}
		h.trials = append(h.trials, t)
	}
}

// alike reports whether a trial is of the kind of those gathered.
func (t *readyTrial) alike(u *readyTrial) bool {
	return t.None() == u.None() && t.From > 0 && u.From > 0 &&
		(t.None() || math.Abs(u.lnTo-u.lnFrom-t.lnTo+t.lnFrom) < widthWithin)
}

// join takes a trial in: the logarithms become the mean of all.
func (t *readyTrial) join(u *readyTrial) {
	n := float64(len(t.given))
	if !t.None() && t.From > 0 {
		t.variance = n / (n + 1) * (t.variance + square(u.lnFrom+u.lnTo-t.lnFrom-t.lnTo)/4/(n+1))
		t.lnTo = (n*t.lnTo + u.lnTo) / (n + 1)
		t.slip = (n*t.slip + u.slip) / (n + 1)
	}
	t.lnFrom = (n*t.lnFrom + u.lnFrom) / (n + 1)
	t.given = append(t.given, u.given...)
	t.gathered = append(t.gathered, *u)
}

// lay lays a grid over δ for each of the spreads.
func (r *testedTube) lay(spreads ...Spread) {
	r.grids = r.grids[:0]
	for _, s := range spreads {
		r.grids = append(r.grids, newDeltaGrid(r.hands, s))
	}
}

// fewTrials of a set-up show a search where the probability lies about.
const fewTrials = 4

// thinned is the set-up with a few of its trials, spread evenly over all of them.
func (t TestedSetup) thinned() TestedSetup {
	if len(t.Trials) <= fewTrials {
		return t
	}
	all := slices.Clone(t.Trials)
	slices.SortFunc(all, func(a, b Trial) int { return cmp.Or(a.compare(b), cmp.Compare(a.Hand, b.Hand)) })
	few := make([]Trial, fewTrials)
	for i := range few {
		few[i] = all[(2*i+1)*len(all)/(2*fewTrials)]
	}
	return TestedSetup{Setup: t.Setup, Trials: few}
}
