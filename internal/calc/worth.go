package calc

import (
	"cmp"
	"math"
)

// Worth is what one more test of a set-up is expected to teach about the share that shows by the
// ceiling.
type Worth struct {
	Now      float64 // standard deviation of the share as it is known now
	Expected float64 // the same after one more test, over its possible outcomes
}

// Loss is by how much the test is expected to lessen the uncertainty, 0 or more.
func (w Worth) Loss() float64 { return max(w.Now-w.Expected, 0) }

// Worth returns what one more test at the forecast's pull, watched for so long, is expected to
// teach. Outcomes are told apart by octaves of time below the time watched. That loses little:
// tests lie further apart. Slips of the pen are left out.
//
// Domain: ceiling > 0, watched > 0. Errors: *RangeError.
func (f *Forecast) Worth(ceiling, watched Seconds) (Worth, error) {
	err := cmp.Or(positive("ceiling", float64(ceiling)), positive("seconds watched", float64(watched)))
	if err != nil {
		return Worth{}, err
	}
	var now shareSum
	outcomes := make([]shareSum, outcomeEdges+1)
	one := f.estimate.spread.oneTest()
	at := shareTable{both: math.Hypot(one, lotSpread), one: one}
	table := phi()
	edges := make([]float64, outcomeEdges)
	f.eachCase(ceiling, outcomeTimes(watched), edges, func(x, δ, mass float64) {
		first, second := at.moments(x + δ)
		now.add(mass, first, second)
		shownBefore := 0.0
		for k, edge := range edges {
			shown := table.at((edge + δ) / one)
			outcomes[k].add(mass*(shown-shownBefore), first, second)
			shownBefore = shown
		}
		outcomes[outcomeEdges].add(mass*(1-shownBefore), first, second)
	})
	w := Worth{Now: math.Sqrt(now.variance())}
	for _, o := range outcomes {
		w.Expected += o.weight * math.Sqrt(o.variance()) / now.weight
	}
	return w, nil
}

// outcomeEdges is the number of times that part the outcomes of one more test.
const outcomeEdges = 8

// outcomeTimes returns the times that part the outcomes, earliest first.
func outcomeTimes(watched Seconds) []Seconds {
	times := make([]Seconds, outcomeEdges)
	for k := range times {
		times[k] = Seconds(math.Ldexp(float64(watched), k+1-outcomeEdges))
	}
	return times
}

// eachCase visits what may be true of the set-up: the margin without δ at one time, δ, and the
// probability of both. Meanwhile edges holds the margins without δ at the other times.
func (f *Forecast) eachCase(by Seconds, times []Seconds, edges []float64, visit func(x, δ, mass float64)) {
	tables := exitTables()
	lnBy := math.Log(float64(by))
	prior := priorDeparture(f.estimate.spread)
	for _, t := range f.tubes {
		for i, g := range f.estimate.points {
			at := func(ln float64) float64 {
				return f.lnSuction - tables[g.rung].lnSuction(g, t.lnAspect, ln)
			}
			for k, time := range times {
				edges[k] = at(math.Log(float64(time)))
			}
			x, weight := at(lnBy), f.estimate.weight[i]
			if t.rows == nil {
				for _, d := range prior {
					visit(x, d[0], weight*t.share*d[1])
				}
				continue
			}
			for k, mass := range t.rows[i].mass {
				visit(x, f.delta(&t.rows[i], k), weight*mass)
			}
		}
	}
}

// priorDeparture returns δ's prior in steps: places and weights.
func priorDeparture(s Spread) (all [][2]float64) {
	const steps, reach = 6, 3.6 // on either side; standard deviations
	for _, part := range []addition{{1 - oddShare, s.Combination}, {oddShare, oddSpread}} {
		step := part.sd * reach / steps
		for k, w := range normalWeights(part.sd, step, steps) {
			all = append(all, [2]float64{float64(k-steps) * step, part.share * w})
		}
	}
	return all
}

// shareTable gives the share at a margin, over what another syringe adds to it. one is the spread
// of one test, both that of a test and a syringe.
type shareTable struct{ one, both float64 }

// moments returns the mean and the mean square of the share.
func (t shareTable) moments(x float64) (first, second float64) {
	table := phi()
	const reach, side = math.Sqrt2 * lotSpread * 1.2247448713915890, 1.0 / 6 // three Gauss–Hermite nodes
	second = (1 - 2*side) * square(table.at(x/t.one))
	second += side * (square(table.at((x-reach)/t.one)) + square(table.at((x+reach)/t.one)))
	return table.at(x / t.both), second
}

// shareSum gathers a weighted mean and variance from means and mean squares.
type shareSum struct{ weight, first, second float64 }

func (s *shareSum) add(weight, first, second float64) {
	s.weight += weight
	s.first += weight * first
	s.second += weight * second
}

func (s *shareSum) variance() float64 {
	if !(s.weight > 0) {
		return 0
	}
	mean := s.first / s.weight
	return max(s.second/s.weight-mean*mean, 0)
}
