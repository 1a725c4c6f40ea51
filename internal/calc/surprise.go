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
// Trials without flashback that were watched for less than the ceiling are left
// out. Slips of the pen are allowed for.
//
// Domain: trials of this very set-up. Errors: none; a trial that could not have
// happened is left out.
func (f *Forecast) Surprise(trials []Trial, ceiling Seconds) float64 {
	var shifts []float64
	shown := 0
	for _, t := range trials {
		p, err := Draw{Pull: t.Pull, Gas: f.gas}.Suction(0)
		if err != nil || t.None() && t.From < ceiling {
			continue
		}
		shifts = append(shifts, math.Log(float64(p))-f.lnSuction)
		if !t.None() && (t.From+t.To)/2 <= ceiling {
			shown++
		}
	}
	if len(shifts) == 0 {
		return 1
	}
	slices.Sort(shifts) // the same tests, the same answer, in whatever order
	few, many := f.margin(ceiling).tails(shifts, shown, slipShownBy(ceiling))
	return min(few, many, 1)
}

// slipShownBy is the share of slips that read as shown by a time.
func slipShownBy(by Seconds) float64 {
	return slipLikelihood(Trial{From: 0, To: max(by, slipFrom)})
}

// tails returns the probabilities that at most, and that at least, so many of
// the tests show. shifts are their suctions against the margin's, in logarithms.
func (m margin) tails(shifts []float64, shown int, slipShown float64) (few, many float64) {
	const cells = 80
	lo, hi := m.reach()
	step := (hi - lo) / cells
	before := 0.0
	shares := make([]float64, len(shifts))
	for i := range cells {
		upTo := m.below(lo + float64(i+1)*step)
		weight := upTo - before
		before = upTo
		if weight < 1e-9 {
			continue
		}
		x := lo + (float64(i)+0.5)*step
		for j, shift := range shifts {
			shares[j] = (1-slipShare)*phi().at((x+shift)/m.spread) + slipShare*slipShown
		}
		for k, p := range countProbabilities(shares) {
			if k <= shown {
				few += weight * p
			}
			if k >= shown {
				many += weight * p
			}
		}
	}
	return few, many
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
