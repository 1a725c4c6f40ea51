package calc

import (
	"fmt"
	"math"
)

// LearnedSpread is a group's own spread, learned from all its tests of all products.
type LearnedSpread struct {
	Spread Spread

	// The same three with 95 % limits. N counts tests, Events those that showed.
	Combination, Tester, Rest Statistic

	Products, Testers    int
	Repeats              int     // a tester's tests beyond the first on a combination
	RepeatedCombinations int     // combinations with a repeat
	Gain                 float64 // ln of how many times as likely the log is as with the default spreads
	Warnings             []string
}

// A learned spread is bounded to these multiples of the default one: no log of a few hundred tests
// is worth more than that (chosen, no source).
const (
	leastOfDefault = 0.5
	mostOfDefault  = 2.0
)

// LearnedConfidence is the confidence of a learned spread's limits.
const LearnedConfidence = 0.95

// LearnSpread estimates the three spreads from a group's own tests: those that make the whole log
// likeliest, with the products, the departures and the hands summed over.
//
// Within a combination a tester's hand u is one number, drawn once. So a tester's own repeats tell
// the rest, and the differences between the testers of one combination tell the hand. From one
// combination to the next the hand is taken as drawn anew. If it is not, the spread found is still
// right but less certain; the limits are widened by the number of testers for that. A log in which
// fewer than 8 combinations had two testers leaves the hand at its default.
//
// Domain:   at least 30 repeats by the same tester in at least 8 combinations;
// every class one of GelClasses, every test as its constructor made it.
// Accuracy: the largest likelihood to 0.5 % in each spread; the limits are normal ones for the
// logarithm of the spread, cut to 0.5 … 2 times the default. The same log gives the same spread,
// in whatever order it comes.
// Errors:   *FewRepeatsError; *RangeError; ErrNotConverged.
// Source:   maximum marginal likelihood, also called empirical Bayes: Carlin,
// Louis, Bayes and Empirical Bayes Methods for Data Analysis (from memory).
func LearnSpread(logs []ProductLog) (LearnedSpread, error) {
	l, err := newLearner(logs)
	if err != nil {
		return LearnedSpread{}, err
	}
	if c := l.counts; c.repeats < RepeatsNeeded || c.repeatedOn < RepeatedCombinationsNeeded {
		return LearnedSpread{}, &FewRepeatsError{Repeats: c.repeats, Combinations: c.repeatedOn}
	}
	found, err := l.climb()
	if err != nil {
		return LearnedSpread{}, err
	}
	return l.report(found), nil
}

// learner holds the logs made ready.
type learner struct {
	products []*productLearner
	counts   repeatCounts
	fixed    [3]bool // the spreads that stay at their default, because the log cannot tell them
}

func newLearner(logs []ProductLog) (*learner, error) {
	l := &learner{counts: repeatCounts{testers: map[int64]bool{}}}
	for _, log := range logs {
		p, ok := log.Class.prior()
		if !ok {
			return nil, &RangeError{Name: "gel class", Value: math.NaN(), Want: "one of the listed classes"}
		}
		f, err := newFitter(p, log.Tested)
		if err != nil {
			return nil, err
		}
		l.counts.add(log.Tested)
		if len(f.setups) > 0 {
			l.products = append(l.products, &productLearner{fitter: *f})
		}
	}
	l.fixed[1] = l.counts.sharedBetween < RepeatedCombinationsNeeded
	return l, nil
}

// productLearner is one product's tests with the grid that their evidence was last summed on.
type productLearner struct {
	fitter fitter
	frame  frame
	nodes  []node
}

// heavyShare is the part of the probability whose cells, the likeliest first, are evaluated again at
// neighbouring spreads.
const heavyShare = 0.99

// lnEvidence returns the logarithm of the probability of the product's tests at each of the
// spreads. The others lie around the first.
func (p *productLearner) lnEvidence(spreads []Spread) []float64 {
	for _, t := range p.fitter.setups {
		t.layGrids(spreads...)
	}
	if p.nodes == nil {
		p.frame, p.nodes = p.fitter.explore(p.fitter.start())
	} else {
		p.nodes = p.evaluatedAgain() // a stride moves the probability little
	}
	p.frame = momentsOf(p.nodes).blur(p.frame).frame(exploreStep)
	p.nodes = settle(p.fitter.flood(&p.frame, p.nodes, finalDepth), finalDepth)
	return p.carriedOver(p.fitter.lnEvidence(&p.frame, p.nodes), len(spreads))
}

// evaluatedAgain returns the last grid's nodes, evaluated at the first of the new spreads.
func (p *productLearner) evaluatedAgain() []node {
	nodes := make([]node, len(p.nodes))
	for i, n := range p.nodes {
		nodes[i] = p.fitter.evaluate(&p.frame, n.cell, n.gelPoint)
	}
	return settle(nodes, finalDepth)
}

// carriedOver returns the evidence at all spreads from that at the first: each node counts by how
// much more likely the tests are there at another spread.
func (p *productLearner) carriedOver(centre float64, spreads int) []float64 {
	sums := make([]float64, spreads)
	var covered float64
	for _, n := range p.nodes {
		for _, t := range p.fitter.setups {
			t.suppose(n.gelPoint)
		}
		var here float64
		for s := range sums {
			var ln float64
			for _, t := range p.fitter.setups {
				ln += t.lnLikelihood(&t.grids[s])
			}
			if s == 0 {
				here = ln
			}
			sums[s] += n.weight * math.Exp(ln-here)
		}
		if covered += n.weight; covered > heavyShare {
			break
		}
	}
	for s, sum := range sums {
		sums[s] = centre + math.Log(sum/covered)
	}
	return sums
}

// report returns the result with its limits and warnings.
func (l *learner) report(top summit) LearnedSpread {
	c := l.counts
	spread := top.at.spread()
	if l.fixed[1] {
		spread.Tester = DefaultSpread().Tester // to the last bit
	}
	r := LearnedSpread{
		Spread: spread, Products: len(l.products), Testers: len(c.testers),
		Repeats: c.repeats, RepeatedCombinations: c.repeatedOn, Gain: top.gain,
	}
	names := [3]string{"combinations", "testers", "a tester's own repeats"}
	stats := [3]*Statistic{&r.Combination, &r.Tester, &r.Rest}
	deviation := top.deviations(l.fixed)
	// If a tester's hand stays the same from combination to combination, its spread is known no
	// better than the standard deviation of so many hands.
	deviation[1] = math.Hypot(deviation[1], 1/math.Sqrt(2*float64(max(len(c.testers)-1, 1))))
	for a, name := range names {
		value := math.Exp(top.at[a])
		reach := math.Exp(quantileOfNormal(0.5+LearnedConfidence/2) * deviation[a])
		low, high := spreadBounds(a)
		*stats[a] = newStatistic(value, max(value/reach, math.Exp(low)), min(value*reach, math.Exp(high)),
			c.tests, c.shown)
		switch {
		case l.fixed[a]:
			r.Warnings = append(r.Warnings, fmt.Sprintf("The spread between %s is the default one: only %d "+
				"combinations had two testers, it takes %d.", name, c.sharedBetween, RepeatedCombinationsNeeded))
			stats[a].Low, stats[a].High = math.Exp(low), math.Exp(high)
		case top.atEdge(a):
			r.Warnings = append(r.Warnings, fmt.Sprintf("The spread between %s lies at the edge of what is allowed, "+
				"%g to %g times the default.", name, leastOfDefault, mostOfDefault))
		}
	}
	return r
}
