package calc

import (
	"cmp"
	"math"
	"slices"
)

// readySetup is a tested set-up made ready for the many evaluations of a fit: its trials by
// hand, in an order of their own and with logarithms taken, and the tubes it may have.
type readySetup struct {
	setup Setup
	tubes []possibleTube
	hands []handTrials
	count int // trials, in the caller's order

	// The logarithm of the probability of all trials if δ lies far below, and far above,
	// everything that any of them tells of.
	lnBelow, lnAbove float64

	grids []deltaGrid // one for each spread that is asked about; Fit asks about one
	scratch
}

// handTrials are the trials of one hand.
type handTrials struct {
	trials           []readyTrial
	tests, timed     int     // tests in the caller's order; of them those with a time above 0
	asBell           bool    // approximated by a bell
	bellOffset       float64 // from the start of the search for the bell to its top, at the last product
	lnBelow, lnAbove float64 // as of readySetup, for this hand alone
	bounding         []int   // places of the trials that bound the hand's δ + u
}

// readyTrial is a trial, or several that are as good as equal, with logarithms taken.
type readyTrial struct {
	Trial
	lnSuction    float64
	lnFrom, lnTo float64
	slip         float64      // probability that it is a slip with this outcome
	places       []int        // in the caller's order
	variance     float64      // of the logarithms of the merged times
	merged       []readyTrial // each as it was
}

// below and above return the probability of the outcome where the suction is far too little,
// and where it is far more than enough.
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

// prepare checks a tested set-up and makes it ready. Errors: *RangeError.
func prepare(t TestedSetup) (*readySetup, error) {
	if err := t.Setup.check(); err != nil {
		return nil, err
	}
	r := &readySetup{setup: t.Setup, tubes: t.Setup.tubes(), count: len(t.Trials)}
	byHand := map[int64][]readyTrial{}
	for i, trial := range t.Trials {
		ready, err := trial.ready(t.Setup.Gas)
		if err != nil {
			return nil, err
		}
		ready.places = []int{i}
		byHand[trial.Hand] = append(byHand[trial.Hand], ready)
	}
	for _, trials := range byHand {
		r.hands = append(r.hands, newHandTrials(trials))
	}
	// Ordered by their trials: a hand's number is arbitrary and must not change a sum.
	slices.SortFunc(r.hands, func(a, b handTrials) int {
		return slices.CompareFunc(a.trials, b.trials, func(a, b readyTrial) int {
			return cmp.Or(a.compare(b.Trial), cmp.Compare(len(a.places), len(b.places)))
		})
	})
	for _, h := range r.hands {
		r.lnBelow += h.lnBelow
		r.lnAbove += h.lnAbove
	}
	return r, nil
}

func (t Trial) ready(gas Volume) (readyTrial, error) {
	if err := t.check(); err != nil {
		return readyTrial{}, err
	}
	p, err := Draw{Pull: t.Pull, Gas: gas}.Suction()
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

// A hand with manyTrials timed tests, and a quarter or more of its tests timed, is approximated
// by a bell. Its tests are merged where their times lie within mergedWithin of each other (in
// logarithms: half of what one test differs from the next) and are about as exactly known. The
// merged trial stands at the mean of the logarithms and keeps their variance. So the cost of a
// set-up with thousands of tests is bounded. The three numbers are chosen;
// TestSummedUpSaysWhatOneByOneSays holds what they cost.
const (
	manyTrials   = 10
	mergedWithin = 0.16
	widthWithin  = 0.1
)

func newHandTrials(trials []readyTrial) handTrials {
	slices.SortFunc(trials, func(a, b readyTrial) int {
		return cmp.Or(a.compare(b.Trial), cmp.Compare(a.places[0], b.places[0]))
	})
	h := handTrials{tests: len(trials)}
	for _, t := range trials {
		if !t.None() && t.From > 0 {
			h.timed++
		}
	}
	h.asBell = h.timed >= manyTrials && 4*h.timed >= h.tests
	h.merge(trials)
	for _, t := range h.trials {
		h.lnBelow += float64(len(t.places)) * math.Log(t.below())
		h.lnAbove += float64(len(t.places)) * math.Log(t.above())
	}
	h.bounding = h.boundingTrials()
	return h
}

// merge takes in sorted trials: equal ones become one, and so do similar ones where the hand
// is approximated by a bell.
func (h *handTrials) merge(trials []readyTrial) {
next:
	for _, t := range trials {
		for k := len(h.trials) - 1; k >= 0; k-- {
			last := &h.trials[k]
			if last.Pull != t.Pull || t.lnFrom-last.merged[0].lnFrom > mergedWithin {
				break
			}
			if last.compare(t.Trial) == 0 || h.asBell && last.alike(&t) {
				last.join(&t)
				continue next
			}
		}
		t.merged = []readyTrial{t}
		h.trials = append(h.trials, t)
	}
}

// alike reports whether two trials have outcomes of one kind, about as exactly known.
func (t *readyTrial) alike(u *readyTrial) bool {
	return t.None() == u.None() && t.From > 0 && u.From > 0 &&
		(t.None() || math.Abs(u.lnTo-u.lnFrom-t.lnTo+t.lnFrom) < widthWithin)
}

// join merges one more trial into t: the logarithms become the mean of all.
func (t *readyTrial) join(u *readyTrial) {
	n := float64(len(t.places))
	if !t.None() && t.From > 0 {
		t.variance = n / (n + 1) * (t.variance + square(u.lnFrom+u.lnTo-t.lnFrom-t.lnTo)/4/(n+1))
		t.lnTo = (n*t.lnTo + u.lnTo) / (n + 1)
		t.slip = (n*t.slip + u.slip) / (n + 1)
	}
	t.lnFrom = (n*t.lnFrom + u.lnFrom) / (n + 1)
	t.places = append(t.places, u.places...)
	t.merged = append(t.merged, *u)
}

// informative is about how many timed tests would say as much of δ + u as all of the hand's
// tests do. Those without a time only bound it, and each adds less than the one before.
func (h *handTrials) informative() int { return h.timed + min(h.tests-h.timed, 16) }

// fewToBound is the number of tests below which each of them bounds its hand's δ + u.
const fewToBound = 16

// boundingTrials returns the places of the trials that bound the hand's δ + u: all where there
// are few. Of many it returns the lower and the upper quartile of each pull: that δ + u lies
// outside the middle half of so many trials is next to impossible.
func (h *handTrials) boundingTrials() (places []int) {
	for first := 0; first < len(h.trials); {
		last, n := first, 0
		for last < len(h.trials) && h.trials[last].Pull == h.trials[first].Pull {
			n += len(h.trials[last].places)
			last++
		}
		before := 0
		for i := first; i < last; i++ {
			after := before + len(h.trials[i].places)
			quartile := before <= n/4 && after > n/4 || before <= n-1-n/4 && after > n-1-n/4
			if h.tests < fewToBound || n < 4 || quartile {
				places = append(places, i)
			}
			before = after
		}
		first = last
	}
	return places
}

// layGrids lays a grid over δ for each of the spreads.
func (r *readySetup) layGrids(spreads ...Spread) {
	r.grids = r.grids[:0]
	for _, s := range spreads {
		r.grids = append(r.grids, newDeltaGrid(r.hands, s))
	}
}

// fewTrials of a set-up show a search about where the probability lies.
const fewTrials = 4

// thinned returns the set-ups with a few of their trials, spread evenly over all of them.
func thinned(tested []TestedSetup) []TestedSetup {
	thin := slices.Clone(tested)
	for i, t := range tested {
		if len(t.Trials) <= fewTrials {
			continue
		}
		all := slices.Clone(t.Trials)
		slices.SortFunc(all, func(a, b Trial) int { return cmp.Or(a.compare(b), cmp.Compare(a.Hand, b.Hand)) })
		few := make([]Trial, fewTrials)
		for k := range few {
			few[k] = all[(2*k+1)*len(all)/(2*fewTrials)]
		}
		thin[i].Trials = few
	}
	return thin
}
