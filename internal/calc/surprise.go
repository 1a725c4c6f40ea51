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
// share it.
//
// Domain: trials of this very set-up. Errors: none; a trial that could not have
// happened is left out.
func (f *Forecast) Surprise(trials []Trial, ceiling Seconds) float64 {
	byHand := map[int64][]float64{}
	shown := 0
	for _, t := range trials {
		p, err := Draw{Pull: t.Pull, Gas: f.gas}.Suction(0)
		if err != nil || t.None() && t.From < ceiling {
			continue
		}
		byHand[t.Hand] = append(byHand[t.Hand], math.Log(float64(p))-f.lnSuction)
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
	few, many := f.tails(f.margin(ceiling), hands, shown, slipShownBy(ceiling))
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
// the tests show. hands are their suctions against the margin's, in logarithms.
func (f *Forecast) tails(m *margin, hands [][]float64, shown int, slipShown float64) (few, many float64) {
	const cells = 80
	spread := f.estimate.spread
	lo, hi := m.quantile(1e-4), m.quantile(1-1e-4)
	step := (hi - lo) / cells
	before := 0.0
	for i := range cells {
		upTo := m.below(lo + float64(i+1)*step)
		weight := upTo - before
		before = upTo
		if weight < 1e-9 {
			continue
		}
		x := lo + (float64(i)+0.5)*step
		fewest, most := []float64{1}, []float64{1}
		least := func(share float64) float64 { return min(share, slipped(share, slipShown)) }
		greatest := func(share float64) float64 { return max(share, slipped(share, slipShown)) }
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
