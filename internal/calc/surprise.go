package calc

import (
	"math"
	"slices"
)

// Surprise returns the predictive probability of as few tests shown by the ceiling as there were,
// or of as many: the smaller of the two tails. Below DisagreeBelow the tests and the estimate
// disagree, and the tests come first. It is 1 if no trial says anything about the ceiling.
//
// A test has shown by the middle of its interval. Trials without flashback that were watched for
// less than the ceiling are left out. Slips of the pen are allowed for where they make the counts
// likelier, for it is no surprise that nobody slips. Trials by one hand share its u. Of more than
// countedUpTo tests the tails are approximated: a small one to a third of itself.
//
// Domain: trials of this very set-up. Errors: none; a trial that cannot have happened is left out.
func (f *Forecast) Surprise(trials []Trial, ceiling Seconds) float64 {
	byHand := map[int64][]float64{}
	tests, shown := 0, 0
	shift, pull := 0.0, Volume(math.NaN()) // of the test before: most pulls are the same
	for _, t := range trials {
		if t.None() && t.From < ceiling {
			continue
		}
		if t.Pull != pull {
			p, err := Draw{Pull: t.Pull, Gas: f.setup.Gas}.Suction()
			if err != nil {
				continue
			}
			pull, shift = t.Pull, math.Log(float64(p))-f.lnSuction
		}
		byHand[t.Hand] = append(byHand[t.Hand], shift)
		tests++
		if t.shownBy(ceiling) {
			shown++
		}
	}
	if tests == 0 {
		return 1
	}
	var hands [][]float64
	for _, shifts := range byHand {
		slices.Sort(shifts)
		hands = append(hands, shifts)
	}
	slices.SortFunc(hands, slices.Compare) // so that the order of the log cannot change a digit
	count := countedOut
	if tests > countedUpTo {
		count = byMoments
	}
	few, many := f.tails(f.margin(ceiling), count(hands, f.estimate.spread), shown, slipShownBy(ceiling))
	return max(min(few, many, 1), 0)
}

// shownBy reports whether flashback had come by a time. The time that was read is the middle of
// the interval; where that was cut off at 0 the middle is a little late.
func (t Trial) shownBy(by Seconds) bool { return !t.None() && (t.From+t.To)/2 <= by*(1+rounding) }

// slipShownBy returns the share of slips that read as shown by a time.
func slipShownBy(by Seconds) float64 {
	return slipLikelihood(Trial{From: 0, To: max(by, slipFrom)})
}

// handNodes are the places, in standard deviations, and the weights of the Gauss–Hermite rule of
// five points, by which a hand's u is summed (Abramowitz, Stegun, table 25.10, from memory;
// TestHandNodes holds them to the moments of the normal distribution).
var handNodes = [5][2]float64{
	{-2.8569700138728056, 0.011257411327720689},
	{-1.3556261799742659, 0.22207592200561266},
	{0, 0.53333333333333333},
	{1.3556261799742659, 0.22207592200561266},
	{2.8569700138728056, 0.011257411327720689},
}

// tails returns the probabilities that at most, and that at least, so many of the tests show.
func (f *Forecast) tails(m *margin, upTo shownUpTo, shown int, slipShown float64) (few, many float64) {
	const cells = 80
	lo, hi := m.quantile(1e-4), m.quantile(1-1e-4)
	step := (hi - lo) / cells
	least := func(share float64) float64 { return min(share, slipped(share, slipShown)) }
	greatest := func(share float64) float64 { return max(share, slipped(share, slipShown)) }
	before := 0.0
	for i := range cells {
		below := m.below(lo + float64(i+1)*step)
		weight := below - before
		before = below
		if weight < 1e-9 {
			continue
		}
		x := lo + (float64(i)+0.5)*step
		few += weight * upTo(x, least, shown)
		many += weight * (1 - upTo(x, greatest, shown-1))
	}
	return few, many
}

// chanceOf gives the chance that a test reads as shown from the share that shows.
type chanceOf func(share float64) float64

// shownUpTo returns the probability that at most n of some tests show at a margin.
type shownUpTo func(x float64, chance chanceOf, n int) float64

// countedOut counts out every number of the tests that may show. hands has, for each hand, the
// suctions of its tests over the margin's, in logarithms.
func countedOut(hands [][]float64, s Spread) shownUpTo {
	return func(x float64, chance chanceOf, n int) (p float64) {
		counts := []float64{1}
		for _, shifts := range hands {
			counts = sumOf(counts, ofOneHand(x, shifts, s, chance))
		}
		for _, count := range counts[:n+1] {
			p += count
		}
		return p
	}
}

// countedUpTo is the number of tests up to which they are counted out: five thousand would take a
// minute. Of more, byMoments is right to a third of a small tail
// (TestSurpriseOfManyIsNearlyCountedOut).
const countedUpTo = 200

// byMoments takes the number of tests that show from its mean, variance and skewness, by Edgeworth's
// first correction of the normal distribution. It sums over the u of the hand with most tests; of
// the other hands it takes the moments of their numbers. hands is as for countedOut.
func byMoments(hands [][]float64, s Spread) shownUpTo {
	runs, largest := make([][]run, len(hands)), 0
	for h, shifts := range hands {
		runs[h] = runsOf(shifts)
		if len(shifts) > len(hands[largest]) {
			largest = h
		}
	}
	return func(x float64, chance chanceOf, n int) (p float64) {
		var others countMoments
		for h := range runs {
			if h != largest {
				others = others.plus(overHand(momentsOfHand(x, runs[h], s, chance)))
			}
		}
		for i, byU := range momentsOfHand(x, runs[largest], s, chance) {
			p += handNodes[i][1] * others.plus(byU).upTo(n)
		}
		return p
	}
}

// countMoments are the mean, the variance and the third central moment of a number.
type countMoments struct{ mean, variance, third float64 }

// plus returns the moments of the sum of two independent numbers.
func (c countMoments) plus(d countMoments) countMoments {
	return countMoments{c.mean + d.mean, c.variance + d.variance, c.third + d.third}
}

// upTo returns the probability that the number is at most n.
func (c countMoments) upTo(n int) float64 {
	sd := math.Sqrt(c.variance + 1e-12)
	z := (float64(n) + 0.5 - c.mean) / sd
	p := phi().at(z) - density().at(z)*c.third/(sd*sd*sd)*(z*z-1)/6
	return min(max(p, 0), 1)
}

// run is a number of tests with one shift, and so with one chance to show.
type run struct {
	shift float64
	tests int
}

// runsOf gathers shifts, which are sorted, into runs.
func runsOf(shifts []float64) (runs []run) {
	for i, shift := range shifts {
		if i == 0 || shift != shifts[i-1] {
			runs = append(runs, run{shift: shift})
		}
		runs[len(runs)-1].tests++
	}
	return runs
}

// momentsOfHand returns the moments of how many of one hand's tests show, for each u of handNodes.
func momentsOfHand(x float64, runs []run, s Spread, chance chanceOf) []countMoments {
	all := make([]countMoments, len(handNodes))
	for _, r := range runs {
		for i, node := range handNodes {
			one := chance(phi().at((x + r.shift + s.Tester*node[0]) / s.Rest))
			v := float64(r.tests) * one * (1 - one)
			all[i] = all[i].plus(countMoments{float64(r.tests) * one, v, v * (1 - 2*one)})
		}
	}
	return all
}

// overHand returns the moments over all u from those for each u.
func overHand(byHand []countMoments) (c countMoments) {
	for i, d := range byHand {
		c.mean += handNodes[i][1] * d.mean
	}
	for i, d := range byHand {
		off, weight := d.mean-c.mean, handNodes[i][1]
		c.variance += weight * (d.variance + off*off)
		c.third += weight * (d.third + 3*off*d.variance + off*off*off)
	}
	return c
}

// slipped returns the chance that a test reads as shown, slips of the pen included.
func slipped(share, slipShown float64) float64 { return (1-slipShare)*share + slipShare*slipShown }

// ofOneHand returns the probability that 0, 1, … of one hand's tests show at a margin.
func ofOneHand(x float64, shifts []float64, s Spread, chance chanceOf) []float64 {
	counts := make([]float64, len(shifts)+1)
	chances := make([]float64, len(shifts))
	for _, node := range handNodes {
		u := s.Tester * node[0]
		for j, shift := range shifts {
			chances[j] = chance(phi().at((x + shift + u) / s.Rest))
		}
		for k, p := range countProbabilities(chances) {
			counts[k] += node[1] * p
		}
	}
	return counts
}

// sumOf returns the distribution of the sum of two counts.
func sumOf(a, b []float64) []float64 {
	sum := make([]float64, len(a)+len(b)-1)
	for i, p := range a {
		for j, q := range b {
			sum[i+j] += p * q
		}
	}
	return sum
}

// countProbabilities returns the probability of 0, 1, … successes in
// independent trials with the given chances.
func countProbabilities(chances []float64) []float64 {
	p := make([]float64, 1, len(chances)+1)
	p[0] = 1
	for _, c := range chances {
		p = append(p, 0)
		for k := len(p) - 1; k > 0; k-- {
			p[k] = p[k]*(1-c) + p[k-1]*c
		}
		p[0] *= 1 - c
	}
	return p
}
