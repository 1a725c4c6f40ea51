package calc

import (
	"math"
	"slices"
	"testing"
)

// A search leaves a cell out where the probability falls towards it fast enough: such a
// cell, evaluated after all, is less likely than what the search drops.
func TestFloodLeavesOutOnlyWhatIsDropped(t *testing.T) {
	for _, c := range readReferenceCases(t) {
		p, _ := c.GelClass.prior()
		f, err := newFitter(p, c.tested(), DefaultSpread())
		if err != nil {
			t.Fatal(err)
		}
		fr, nodes := f.explore(f.start())
		nodes = f.flood(&fr, nodes, finalDepth)
		visited, best := map[cell]bool{}, math.Inf(-1)
		for _, n := range nodes {
			visited[n.cell], best = true, max(best, n.lnWeight)
		}
		left := 0
		for _, n := range nodes {
			for _, c := range n.cell.neighbours() {
				g, ok := fr.at(c)
				if !ok || visited[c] || n.lnWeight < best-finalDepth {
					continue
				}
				left++
				if ln := f.evaluate(&fr, c, g).lnWeight; ln > best-finalDepth {
					t.Errorf("%v: left out %.2f below the best", c, best-ln)
				}
			}
		}
		if left == 0 {
			t.Errorf("%s: nothing left out", c.GelClass)
		}
	}
}

// Times gathered say of the product what they say one by one: the likelihood of many
// tests by one hand changes from product to product by as much.
func TestGatheredTimesSayWhatTheySayOneByOne(t *testing.T) {
	const tol = 0.1 // of a natural logarithm; without the variance it is off by 0.2
	p, _ := MediumHA.prior()
	tested := madeUpTests(1, 125)
	for i := range tested[0].Trials {
		tested[0].Trials[i].Hand = 1
	}
	gathered, err := newFitter(p, tested, DefaultSpread())
	if err != nil {
		t.Fatal(err)
	}
	single, _ := newFitter(p, tested, DefaultSpread())
	hand := &single.tubes[0].hands[0]
	hand.trials = hand.trials[:0:0]
	for i, trial := range tested[0].Trials {
		ready, err := trial.ready(SuppliedGas)
		if err != nil {
			t.Fatal(err)
		}
		ready.given = []int{i}
		hand.trials = append(hand.trials, ready)
	}
	slices.SortFunc(hand.trials, func(a, b readyTrial) int { return a.compare(b.Trial) })
	hand.bulk = hand.middle()
	if n := len(gathered.tubes[0].hands[0].trials); n >= 60 {
		t.Fatalf("125 tests gathered to %d", n)
	}
	ln := func(f *fitter, g gelPoint) float64 {
		f.tubes[0].suppose(g)
		return f.tubes[0].lnLikelihood(&f.tubes[0].grids[0])
	}
	at := gelPoint{rung: 25, lnK: math.Log(50), lnYield: math.Log(28)} // as they were made up
	for _, rung := range []int{22, 24, 26, 28} {
		other := gelPoint{rung: rung, lnK: at.lnK, lnYield: at.lnYield}
		got, want := ln(gathered, other)-ln(gathered, at), ln(single, other)-ln(single, at)
		if math.Abs(got-want) > tol {
			t.Errorf("flow index %.2f against %.2f: %.3f, one by one %.3f", indexOf(rung), indexOf(at.rung), got, want)
		}
	}
}
