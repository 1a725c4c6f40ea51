package calc

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// bruteEvidence is the probability of all tests by plain summation: every eighth
// rung of the ladder, an even grid over ln K and ln τy 4 standard deviations
// either way, plain sums over δ and u, the distribution function from gonum. It shares
// with the fit only the exit times.
func bruteEvidence(p prior, tested []TestedSetup, s Spread) float64 {
	const half, reach = 6, 4.0
	step := reach / half
	sum := 0.0
	for rung := 0; rung < ladderLength; rung += 8 {
		n := indexOf(rung)
		within := distuv.Normal{Mu: p.Index.Mean, Sigma: p.Index.SD}
		weight := 8 * indexStep * within.Prob(n) / (within.CDF(maxIndex) - within.CDF(minIndex))
		if weight < 1e-4 {
			continue
		}
		for j := -half; j <= half; j++ {
			for k := -half; k <= half; k++ {
				zK, zY := float64(j)*step, float64(k)*step
				g := gelPoint{rung, p.LnConsistency.Mean + zK*p.LnConsistency.SD, p.LnYield.Mean + zY*p.LnYield.SD}
				like := weight * step * step * distuv.UnitNormal.Prob(zK) * distuv.UnitNormal.Prob(zY)
				for _, t := range tested {
					like *= bruteLikelihood(g, t, s, 0.14, 1)
				}
				sum += like
			}
		}
	}
	return math.Log(sum)
}

func TestEvidenceAgainstQuadrature(t *testing.T) {
	computesAlone(t)
	// What lies more than e^−8 below the best cell is dropped: a part in a thousand
	// of one hill, a part in a hundred where two far ones share the probability.
	const tol = 0.02
	wide := Spread{Combination: 0.25, Tester: 0.1, Rest: 0.2}
	for name, c := range map[string]struct {
		class  GelClass
		spread Spread
		tested []TestedSetup
	}{
		"no tests": {FirmHA, DefaultSpread(), nil},
		"three in time": {MediumHA, DefaultSpread(), []TestedSetup{{needle(0.241, 13),
			[]Trial{filmed(t, 2), filmed(t, 2.7), filmed(t, 1.6)}}}},
		"two set-ups": {SoftHA, DefaultSpread(), []TestedSetup{{needle(0.165, 13),
			[]Trial{filmed(t, 9), none(t, 20)}}, {needle(0.241, 13), []Trial{filmed(t, 0.5), filmed(t, 0)}}}},
		"none at all": {FineHA, DefaultSpread(), []TestedSetup{{needle(0.165, 13),
			[]Trial{none(t, 60), none(t, 60)}}}},
		"a slip among others": {MediumHA, DefaultSpread(), []TestedSetup{{needle(0.241, 13),
			[]Trial{filmed(t, 2), filmed(t, 2.7), filmed(t, 90)}}}},
		"wide spreads": {DilutedCaHA, wide, []TestedSetup{{needle(0.165, 13),
			[]Trial{filmed(t, 4), filmed(t, 8)}}}},
	} {
		p, _ := c.class.prior()
		f, err := newFitter(p, c.tested, c.spread)
		if err != nil {
			t.Fatal(err)
		}
		fr, nodes := f.search(f)
		got, want := f.lnEvidence(&fr, nodes), bruteEvidence(p, c.tested, c.spread)
		t.Logf("%s: %.4f, summed %.4f (%d cells)", name, got, want, len(nodes))
		if math.Abs(got-want) > tol {
			t.Errorf("%s: %.4f, summed %.4f", name, got, want)
		}
	}
}
