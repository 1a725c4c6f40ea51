package calc

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// drawLog draws a group's log: so many products of all classes, each tested in so
// many set-ups by two or three testers.
func drawLog(w *world, products, setups, tests int) []ProductLog {
	w.hands = 12
	var logs []ProductLog
	classes := GelClasses()
	for i := range products {
		gel := w.product(classes[i%len(classes)])
		log := ProductLog{Class: gel.class}
		for _, s := range w.setups(setups) {
			testers := w.rng.Perm(w.hands)[:2+w.rng.IntN(2)]
			c := TestedSetup{Setup: s}
			for j := range tests {
				c.Trials = append(c.Trials, w.test(gel, s, testers[j%len(testers)]))
			}
			log.Tested = append(log.Tested, c)
		}
		logs = append(logs, log)
	}
	return logs
}

// Two routes: the moving average against a plain sum over δ, u and the possible tubes.
func TestLikelihoodAgainstSummation(t *testing.T) {
	computesAlone(t)
	const tol = 2e-3 // of a likelihood of e^−60: tails of u beyond 3.6 standard deviations are cut off
	by := func(hand int64, trial Trial) Trial { trial.Hand = hand; return trial }
	unknown, err := setupOfGauge(30, 13*Millimetre+HubLength, SuppliedGas)
	if err != nil {
		t.Fatal(err)
	}
	a := []Trial{by(1, filmed(t, 9)), by(1, filmed(t, 8.2)), by(1, none(t, 15))}
	b := []Trial{by(2, filmed(t, 5.5)), by(2, filmed(t, 6))}
	c := []Trial{by(3, filmed(t, 0)), by(3, filmed(t, 6)), by(3, filmed(t, 6)),
		by(4, Trial{Pull: DefaultPull, From: 4, To: 4.6})}
	for name, tested := range map[string]TestedSetup{
		"one hand":          {needle(0.165, 13), a},
		"two hands":         {needle(0.165, 13), append(a[:3:3], b...)},
		"four hands":        {needle(0.165, 13), slices.Concat(a, b, c)},
		"no wall on record": {unknown, append(a[:3:3], b...)},
		"far from the gel":  {needle(0.241, 13), slices.Repeat(a[:2], 4)},
		"no test":           {needle(0.165, 13), nil},
	} {
		tube, err := prepare(tested)
		if err != nil {
			t.Fatal(err)
		}
		spreads := []Spread{DefaultSpread(), {0.3, 0.04, 0.06}, {0.08, 0.16, 0.2}}
		tube.layGrids(spreads...)
		for _, g := range []gelPoint{{24, 3.9, 3.4}, {10, 3.2, 4.6}, {30, 3.0, 2.0}} {
			tube.suppose(g)
			for i, spread := range spreads {
				if got, want := tube.lnLikelihood(&tube.grids[i]), math.Log(bruteLikelihood(g, tested, spread, 0.03,
					0.2)); math.Abs(got-want) > tol {
					t.Errorf("%s, %v, %+v: %.6f, summed %.6f", name, g, spread, got, want)
				}
			}
		}
	}
}

// bruteLikelihood sums the probability of one set-up's tests over the possible tubes,
// both parts of δ, and u hand by hand, in steps of step and of a part of u's deviation;
// the distribution function is gonum's.
func bruteLikelihood(g gelPoint, t TestedSetup, s Spread, step, part float64) (sum float64) {
	hands := map[int64][]Trial{}
	for _, trial := range t.Trials {
		hands[trial.Hand] = append(hands[trial.Hand], trial)
	}
	for _, tube := range t.Setup.tubes() {
		for _, δs := range []addition{{1 - oddShare, s.Combination}, {oddShare, oddSpread}} {
			sum += tube.share * δs.share * bruteNormal(δs.sd, step, func(δ float64) float64 {
				product := 1.0
				for _, trials := range hands {
					product *= bruteNormal(s.Tester, part*s.Tester, func(u float64) float64 {
						p := 1.0
						for _, trial := range trials {
							p *= bruteChance(g, tube.lnAspect, t.Setup.Gas, trial, δ+u, s.Rest)
						}
						return p
					})
				}
				return product
			})
		}
	}
	return sum
}

// bruteNormal is the mean of f over a normal distribution, in even steps.
func bruteNormal(sd, step float64, f func(x float64) float64) (sum float64) {
	half := int(4.5 * sd / step)
	var weights float64
	for k := -half; k <= half; k++ {
		x := float64(k) * step
		w := distuv.UnitNormal.Prob(x / sd)
		weights += w
		sum += w * f(x)
	}
	return sum / weights
}

func bruteChance(g gelPoint, lnAspect float64, gas Volume, trial Trial, shift, rest float64) float64 {
	suction, _ := Draw{Pull: trial.Pull, Gas: gas}.Suction()
	shown := func(by Seconds) float64 {
		need := exitTables()[g.rung].lnSuction(g, lnAspect, math.Log(float64(by)))
		return distuv.UnitNormal.CDF((math.Log(float64(suction)) - need + shift) / rest)
	}
	by, before := 1.0, 0.0 // a test without flashback may never show
	if !trial.None() {
		by = shown(trial.To)
	}
	if trial.From > 0 {
		before = shown(trial.From)
	}
	return (1-slipShare)*(by-before) + slipShare*slipLikelihood(trial)
}

// The spreads that a log was drawn with must lie within the limits learned from
// it: 9 numbers with 95 % limits, so that one outside is no wonder and two are.
func TestLearnSpreadFindsTheSpreadsOfSimulatedLogs(t *testing.T) {
	computesAlone(t)
	outside := 0
	for i, truth := range []Spread{DefaultSpread(), {0.22, 0.06, 0.09}, {0.1, 0.14, 0.2}} {
		w := newWorld(uint64(100 + i))
		w.spread = truth
		got, err := LearnSpread(drawLog(w, 16, 3, 6))
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%+v: combination %.3f (%.3f–%.3f), tester %.3f (%.3f–%.3f), rest %.3f (%.3f–%.3f), gain %.1f %v", truth,
			got.Combination.Value, got.Combination.Low, got.Combination.High, got.Tester.Value, got.Tester.Low,
			got.Tester.High,
			got.Rest.Value, got.Rest.Low, got.Rest.High, got.Gain, got.Warnings)
		if got.Gain < 0 {
			t.Errorf("%+v: likelier with the default spreads by %g", truth, -got.Gain)
		}
		for _, c := range []struct {
			s    Statistic
			want float64
		}{{got.Combination, truth.Combination}, {got.Tester, truth.Tester}, {got.Rest, truth.Rest}} {
			if c.want < c.s.Low || c.want > c.s.High {
				outside++
			}
		}
	}
	if outside > 1 {
		t.Errorf("%d of 9 spreads outside their 95 %% limits", outside)
	}
}

func TestLearnSpreadDoesNotDependOnTheOrder(t *testing.T) {
	computesAlone(t)
	logs := drawLog(newWorld(7), 6, 3, 6)
	first, err := LearnSpread(logs)
	if err != nil {
		t.Fatal(err)
	}
	slices.Reverse(logs)
	for i := range logs {
		logs[i].Tested = slices.Clone(logs[i].Tested)
		slices.Reverse(logs[i].Tested)
		for j := range logs[i].Tested {
			logs[i].Tested[j].Trials = slices.Clone(logs[i].Tested[j].Trials)
			slices.Reverse(logs[i].Tested[j].Trials)
		}
	}
	again, err := LearnSpread(logs)
	if err != nil {
		t.Fatal(err)
	}
	if first.Spread != again.Spread || first.Gain != again.Gain {
		t.Errorf("%+v, in another order %+v", first.Spread, again.Spread)
	}
}

func TestLearnSpreadSaysWhyNot(t *testing.T) {
	var few *FewRepeatsError
	if _, err := LearnSpread(drawLog(newWorld(8), 3, 2, 5)); !errors.As(err, &few) {
		t.Errorf("six combinations: %v", err)
	}
	if _, err := LearnSpread(nil); !errors.As(err, &few) || few.Repeats != 0 {
		t.Errorf("no tests: %v", err)
	}
	var out *RangeError
	if _, err := LearnSpread([]ProductLog{{Class: "jelly"}}); !errors.As(err, &out) {
		t.Errorf("a class unknown: %v", err)
	}
	bad := drawLog(newWorld(9), 8, 2, 6)
	bad[0].Tested[0].Trials[3].To = 0
	if _, err := LearnSpread(bad); !errors.As(err, &out) {
		t.Errorf("an impossible test: %v", err)
	}
}

// With one tester a combination nothing tells the hand from the combination.
func TestLearnSpreadLeavesTheHandAloneWhereNobodyElseTested(t *testing.T) {
	computesAlone(t)
	logs := drawLog(newWorld(10), 8, 3, 6)
	for _, l := range logs {
		for _, c := range l.Tested {
			for i := range c.Trials {
				c.Trials[i].Hand = 1
			}
		}
	}
	got, err := LearnSpread(logs)
	if err != nil {
		t.Fatal(err)
	}
	if got.Spread.Tester != DefaultSpread().Tester || len(got.Warnings) == 0 {
		t.Errorf("%+v", got)
	}
}

func BenchmarkLearnSpread(b *testing.B) { // 200 products × 50 tests
	logs := drawLog(newWorld(11), 200, 5, 10)
	exitTables()
	for b.Loop() {
		if _, err := LearnSpread(logs); err != nil {
			b.Fatal(err)
		}
	}
}
