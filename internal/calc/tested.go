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
	tests            int     // in the caller's order
	lnBelow, lnAbove float64 // as of the set-up
	bulk             []int   // places of the trials between which its own δ + u lies
}

// readyTrial is a trial, or several that are as good as equal, with its logarithms taken.
type readyTrial struct {
	Trial
	lnSuction    float64
	lnFrom, lnTo float64
	variance     float64 // of the logarithms of the times gathered
	slip         float64 // probability of this outcome by a slip, slip included
	given        []int   // places in the caller's order
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
	h := handTrials{trials: gather(trials), tests: len(trials)}
	for _, t := range h.trials {
		h.lnBelow += float64(len(t.given)) * math.Log(t.below())
		h.lnAbove += float64(len(t.given)) * math.Log(t.above())
	}
	h.bulk = h.middle()
	return h
}

// middle are the places of the trials that bound a hand's own δ + u: all of a few. Of
// many timed at one pull those with a quarter before and a quarter after them, for what
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
			if n < manyTrials || edge || t.None() || t.From == 0 {
				places = append(places, i)
			}
			before = after
		}
		first = last
	}
	return places
}

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

// Beyond manyTrials by one hand, times within gatheredWithin of each other (in
// logarithms, half of what one test differs from the next) are taken as one time, the
// middle of theirs, made so many times over; how far they lie apart, which tells of the
// flow index, is kept as a variance. That bounds the cost of a set-up with thousands of tests.
const (
	manyTrials     = 16
	gatheredWithin = 0.16
)

// gather puts equal trials of a hand together, sorted as they are.
func gather(hand []readyTrial) []readyTrial {
	out := hand[:0:0]
	for _, t := range hand {
		last := len(out) - 1
		if last >= 0 && (out[last].compare(t.Trial) == 0 || len(hand) > manyTrials && out[last].alike(&t)) {
			out[last].join(&t)
			continue
		}
		out = append(out, t)
	}
	return out
}

// alike reports whether a trial is as good as equal to the first of those gathered.
func (t *readyTrial) alike(u *readyTrial) bool {
	return t.Pull == u.Pull && !t.None() && !u.None() && t.From > 0 &&
		u.lnFrom-math.Log(float64(t.From)) < gatheredWithin && math.Abs(float64((u.To-u.From)/(t.To-t.From))-1) < 0.01
}

// join takes a trial in: the logarithms become the mean of all.
func (t *readyTrial) join(u *readyTrial) {
	n := float64(len(t.given))
	if u.lnFrom != t.lnFrom || u.lnTo != t.lnTo {
		t.variance = n / (n + 1) * (t.variance + square(u.lnFrom-t.lnFrom)/(n+1))
		t.lnFrom = (n*t.lnFrom + u.lnFrom) / (n + 1)
		t.lnTo = (n*t.lnTo + u.lnTo) / (n + 1)
		t.slip = (n*t.slip + u.slip) / (n + 1)
	}
	t.given = append(t.given, u.given...)
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
