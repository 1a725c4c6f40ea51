package calc

import (
	"math"
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

// oneByOne is a fit in which no hand is approximated by a bell and no tests but equal ones are merged, on the closest grid.
func oneByOne(t *testing.T, class GelClass, tested []TestedSetup) *Estimate {
	t.Helper()
	p, _ := class.prior()
	f, err := newFitter(p, tested, DefaultSpread())
	if err != nil {
		t.Fatal(err)
	}
	few, err := newFitter(p, thinned(tested), DefaultSpread())
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range f.setups {
		for h := range r.hands {
			hand := &r.hands[h]
			var apart handTrials
			for _, one := range hand.trials {
				apart.merge(one.merged)
			}
			hand.trials, hand.asBell = apart.trials, false
			hand.bounding = hand.boundingTrials()
		}
		r.layGrids(DefaultSpread())
	}
	fr, nodes := f.explore(few.explore(few.start()))
	f.wantPosterior = true
	fr = momentsOf(nodes).blur(fr).frame(finalStep)
	return newEstimate(settle(f.flood(&fr, nodes, finalDepth), finalDepth), f.setups, DefaultSpread())
}

// What is summed up says of the product, of every set-up, and of every test, what it says
// one by one: to the tolerances of the check values, and of a slip's probability as close
// as a flag needs.
func TestSummedUpSaysWhatOneByOneSays(t *testing.T) {
	computesAlone(t)
	const meanTol, limitTol, moment, oddTol, slipTol = 0.002, 0.005, 0.005, 0.01, 0.03
	var worst [4]float64
	for seed, c := range []struct {
		class         GelClass
		setups, tests int
	}{{SoftHA, 3, 60}, {FirmHA, 1, 200}, {MediumHA, 1, 1000}, {FineHA, 5, 100}, {FirmHA, 10, 100}, {MediumHA, 4, 700}} {
		if seed > 3 && !*long {
			continue // the largest
		}
		w := newWorld(uint64(seed) + 3)
		gel := w.product(c.class)
		var tested []TestedSetup
		for _, s := range w.setups(c.setups) {
			one := TestedSetup{Setup: s}
			for range c.tests {
				one.Trials = append(one.Trials, w.test(gel, s, w.rng.IntN(8)))
			}
			tested = append(tested, one)
		}
		got, want := mustFit(t, c.class, tested...), oneByOne(t, c.class, tested)
		ask := []Setup{needle(0.241, 13), needle(0.165, 8), needle(0.19, 19)}
		for _, one := range tested {
			ask = append(ask, one.Setup)
		}
		for _, s := range ask {
			slips := want.Slips(s)
			for i, slip := range got.Slips(s) {
				worst[3] = max(worst[3], math.Abs(slip-slips[i]))
			}
			f, exact := mustForecast(t, got, s), mustForecast(t, want, s)
			if off := math.Abs(f.odd - exact.odd); off > oddTol {
				t.Errorf("%v %d × %d: odd %.4f, one by one %.4f", c.class, c.setups, c.tests, f.odd, exact.odd)
			}
			for _, by := range []Seconds{1, 2, 5, 10, 30} {
				share, sooner, later := f.Share(by), exact.Share(by-moment), exact.Share(by+moment)
				outside := func(x, low, high float64) float64 { return max(0, low-x, x-high) }
				worst[0] = max(worst[0], math.Abs(share.Mean-exact.Share(by).Mean))
				worst[1] = max(worst[1], outside(share.Low, sooner.Low, later.Low))
				worst[2] = max(worst[2], outside(share.High, sooner.High, later.High))
			}
			// A hold may be another only where the limit passes the target that closely.
			if hold := holdFor(f, 0.9); hold < holdFor(exact, 0.9-limitTol) || hold > holdFor(exact, 0.9+limitTol) {
				t.Errorf("%v %d × %d: hold %d, one by one %d", c.class, c.setups, c.tests, hold, holdFor(exact, 0.9))
			}
		}
	}
	t.Logf("furthest apart: mean %.4f, low %.4f, high %.4f, slip %.4f", worst[0], worst[1], worst[2], worst[3])
	if worst[0] > meanTol || worst[1] > limitTol || worst[2] > limitTol || worst[3] > slipTol {
		t.Error("further than the check values allow")
	}
}

// holdFor is the first second by which mean and lower limit of the share reach the target,
// 61 if none up to 60 does.
func holdFor(f *Forecast, target float64) int {
	hold := firstSecond(60,
		func(h int) bool { return f.reaches(Seconds(h), target) })
	if hold == 0 {
		return 61
	}
	return hold
}
