package calc

import (
	"math"
	"slices"
)

// Surprise returns the predictive probability of so few, or so many, tests
// shown by the ceiling as were: the smaller of the two tails. Below 0.01 the
// tests and the estimate disagree, and the tests come first. 1 when no trial
// says anything about the ceiling.
//
// A test has shown by the middle of its interval. Trials without flashback that were
// watched for less than the ceiling are left out. Slips of the pen are allowed for where
// they make the counts likelier: that nobody slips is no surprise. Trials by one hand
// share it. More than countedUpTo tests are not counted out, which is right to a third of
// a small tail.
//
// Domain: trials of this very set-up. Errors: none; a trial that could not have
// happened is left out.
func (f *Forecast) Surprise(trials []Trial, ceiling Seconds) float64 {
	byHand := map[int64][]float64{}
	shown, shift, pull := 0, 0.0, Volume(math.NaN()) // of the test before: in a long list most pulls are the same
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
		if t.shownBy(ceiling) {
			shown++
		}
	}
	if len(byHand) == 0 {
		return 1
	}
	var hands [][]float64
	for _, shifts := range byHand {
		slices.Sort(shifts)
		hands = append(hands, shifts)
	}
	slices.SortFunc(hands, slices.Compare) // the same tests, the same answer, in whatever order
	few, many := f.tails(f.margin(ceiling), hands, shown, slipShownBy(ceiling), countedUpTo)
	return min(few, many, 1)
}

// shownBy reports whether flashback had come by a time, as the time was read: the
// middle of the interval. One that was cut off at 0 is read a little late.
func (t Trial) shownBy(by Seconds) bool { return !t.None() && (t.From+t.To)/2 <= by*(1+rounding) }

// slipShownBy is the share of slips that read as shown by a time.
func slipShownBy(by Seconds) float64 {
	return slipLikelihood(Trial{From: 0, To: max(by, slipFrom)})
}

// handNodes are the places, in standard deviations, and weights at which a hand's u
// is summed: Gauss and Hermite's, five of them (Abramowitz, Stegun, table 25.10, from
// memory; TestHandNodes holds them to the moments of the normal distribution).
var handNodes = [5][2]float64{
	{-2.8569700138728056, 0.011257411327720689},
	{-1.3556261799742659, 0.22207592200561266},
	{0, 0.53333333333333333},
	{1.3556261799742659, 0.22207592200561266},
	{2.8569700138728056, 0.011257411327720689},
}

// tails returns the probabilities that at most, and that at least, so many of
// the tests show. hands are their suctions against the margin's, in logarithms. More than
// mostCounted tests are not counted out.
func (f *Forecast) tails(m *margin, hands [][]float64, shown int, slipShown float64, mostCounted int) (few,
	many float64) {
	const cells = 80
	spread := f.estimate.spread
	lo, hi := m.quantile(1e-4), m.quantile(1-1e-4)
	step := (hi - lo) / cells
	before, tests := 0.0, 0
	var runs [][]run
	for _, shifts := range hands {
		tests, runs = tests+len(shifts), append(runs, runsOf(shifts))
	}
	for i := range cells {
		upTo := m.below(lo + float64(i+1)*step)
		weight := upTo - before
		before = upTo
		if weight < 1e-9 {
			continue
		}
		x := lo + (float64(i)+0.5)*step
		least := func(share float64) float64 { return min(share, slipped(share, slipShown)) }
		greatest := func(share float64) float64 { return max(share, slipped(share, slipShown)) }
		if tests > mostCounted {
			few += weight * upToOfMany(x, runs, spread, least, shown)
			many += weight * (1 - upToOfMany(x, runs, spread, greatest, shown-1))
			continue
		}
		fewest, most := []float64{1}, []float64{1}
		for _, shifts := range hands {
			fewest = sumOf(fewest, ofOneHand(x, shifts, spread, least))
			most = sumOf(most, ofOneHand(x, shifts, spread, greatest))
		}
		for k := range fewest {
			if k <= shown {
				few += weight * fewest[k]
			}
			if k >= shown {
				many += weight * most[k]
			}
		}
	}
	return few, many
}

// countedUpTo so many tests every number of them that may show is counted out. Of more
// the number comes from its mean, variance and skewness, by Edgeworth's first correction of the
// normal distribution (TestSurpriseOfManyIsNearlyCountedOut): counted out, five thousand
// tests take a minute.
const countedUpTo = 200

// upToOfMany is the probability that at most so many of the tests show at a margin: by
// each u of the hand with most tests, and by the moments of the others' numbers.
func upToOfMany(x float64, hands [][]run, s Spread, chance func(share float64) float64, upTo int) (p float64) {
	var others countMoments
	var largest []countMoments
	most := 0
	for _, runs := range hands {
		byHand, tests := momentsOfHand(x, runs, s, chance), 0
		for _, r := range runs {
			tests += r.tests
		}
		if tests > most {
			most, largest, byHand = tests, byHand, largest
		}
		others = others.plus(overHand(byHand))
	}
	for i, node := range handNodes {
		p += node[1] * others.plus(largest[i]).upTo(upTo)
	}
	return p
}

// countMoments are the mean, the variance and the third central moment of a number.
type countMoments [3]float64

func (c countMoments) plus(d countMoments) countMoments {
	return countMoments{c[0] + d[0], c[1] + d[1], c[2] + d[2]}
}

func (c countMoments) upTo(n int) float64 {
	sd := math.Sqrt(c[1] + 1e-12)
	z := (float64(n) + 0.5 - c[0]) / sd
	p := phi().at(z) - density().at(z)*c[2]/(sd*sd*sd)*(z*z-1)/6
	return min(max(p, 0), 1)
}

// run is so many tests of one shift: they have one chance.
type run struct {
	shift float64
	tests int
}

// runsOf gathers shifts, which are in order.
func runsOf(shifts []float64) (runs []run) {
	for i, shift := range shifts {
		if i == 0 || shift != shifts[i-1] {
			runs = append(runs, run{shift: shift})
		}
		runs[len(runs)-1].tests++
	}
	return runs
}

// momentsOfHand are those of how many of one hand's tests show, by u.
func momentsOfHand(x float64, runs []run, s Spread, chance func(share float64) float64) []countMoments {
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

// overHand are the moments over u, none for no hand.
func overHand(byHand []countMoments) (c countMoments) {
	for i, d := range byHand {
		c[0] += handNodes[i][1] * d[0]
	}
	for i, d := range byHand {
		off, weight := d[0]-c[0], handNodes[i][1]
		c[1] += weight * (d[1] + off*off)
		c[2] += weight * (d[2] + 3*off*d[1] + off*off*off)
	}
	return c
}

// slipped is the chance that a test reads as shown, slips of the pen included.
func slipped(share, slipShown float64) float64 { return (1-slipShare)*share + slipShare*slipShown }

// ofOneHand is the probability of 0, 1, … shown of one hand's tests at a margin, by the
// chance that a share gives one of them.
func ofOneHand(x float64, shifts []float64, s Spread, chance func(share float64) float64) []float64 {
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

// sumOf is the distribution of the sum of two counts.
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
