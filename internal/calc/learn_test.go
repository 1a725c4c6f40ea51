package calc

import (
	"errors"
	"math"
	"slices"
	"testing"
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
			for j := range tests {
				k := testers[j%len(testers)]
				log.Tests = append(log.Tests, LoggedTrial{Setup: s, Tester: string(rune('a' + k)), Trial: w.test(gel, s, k)})
			}
		}
		logs = append(logs, log)
	}
	return logs
}

// Where every test is by another tester, the hand cannot be told from the rest,
// and the likelihood by tester must be the estimate's own.
func TestLikelihoodByTesterIsTheEstimatesOwnWhereNobodyRepeats(t *testing.T) {
	const tol = 1e-4
	trials := []Trial{filmed(t, 9), filmed(t, 5.5), none(t, 20), filmed(t, 80), {DefaultPull, 4, 4.6}}
	s := needle(0.165, 13)
	tube, err := prepare(TestedSetup{s, trials}, DefaultSpread())
	if err != nil {
		t.Fatal(err)
	}
	var tests []LoggedTrial
	for i, trial := range trials {
		tests = append(tests, LoggedTrial{s, string(rune('a' + i)), trial})
	}
	hands, err := newHandTube(tests)
	if err != nil {
		t.Fatal(err)
	}
	hands.lay([]Spread{DefaultSpread()})
	for _, g := range []gelPoint{{24, 3.8, 3.4}, {10, 3.2, 4.6}, {30, 3.0, 2.0}} {
		if got, want := hands.lnLikelihood(g), tube.lnLikelihood(g); math.Abs(got-want) > tol {
			t.Errorf("%v: %.6f, the estimate's %.6f", g, got, want)
		}
	}
}

// Two routes: the moving average against a plain double sum over δ and u.
func TestLikelihoodByTesterAgainstSummation(t *testing.T) {
	const tol = 2e-4
	s := needle(0.165, 13)
	tests := []LoggedTrial{
		{s, "a", filmed(t, 9)}, {s, "a", filmed(t, 8.2)}, {s, "a", none(t, 15)},
		{s, "b", filmed(t, 5.5)}, {s, "b", filmed(t, 6)},
	}
	hands, err := newHandTube(tests)
	if err != nil {
		t.Fatal(err)
	}
	spreads := []Spread{DefaultSpread(), {0.3, 0.04, 0.06}, {0.08, 0.16, 0.2}}
	hands.lay(spreads)
	g := gelPoint{24, 3.9, 3.4}
	hands.suppose(g)
	for i, spread := range spreads {
		if got, want := hands.at(&hands.grids[i]), math.Log(bruteByTester(g, tests, spread)); math.Abs(got-want) > tol {
			t.Errorf("%+v: %.6f, summed %.6f", spread, got, want)
		}
	}
}

// bruteByTester sums the probability of one set-up's tests, testers a and b.
func bruteByTester(g gelPoint, tests []LoggedTrial, s Spread) float64 {
	const lines, reach = 400, 6.0
	lone := Spread{Combination: 1, Rest: s.Rest}
	sum := 0.0
	line := func(k int, sd float64) (x, weight float64) {
		z := float64(k) * reach / lines
		return z * sd, math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * reach / lines
	}
	setup, _ := prepare(TestedSetup{Setup: tests[0].Setup}, lone)
	chance := func(trial Trial, shift float64) float64 {
		ready, _ := trial.ready(tests[0].Setup.Gas)
		by := func(ln float64) float64 {
			return phi().at((ready.lnSuction + shift - exitTables()[g.rung].lnSuction(g.lnK, g.lnYield, setup.path, ln)) / s.Rest)
		}
		hi := 1.0
		if !trial.None() {
			hi = by(ready.lnTo)
		}
		return (1-slipShare)*(hi-by(ready.lnFrom)) + ready.slip
	}
	for k := -lines; k <= lines; k += 4 {
		δ, weight := line(k, s.Combination)
		product := 4 * weight
		for _, tester := range []string{"a", "b"} {
			hand := 0.0
			for m := -lines; m <= lines; m += 4 {
				u, w := line(m, s.Tester)
				p := 4 * w
				for _, l := range tests {
					if l.Tester == tester {
						p *= chance(l.Trial, δ+u)
					}
				}
				hand += p
			}
			product *= hand
		}
		sum += product
	}
	return sum
}

// The spreads that a log was drawn with must lie within the limits learned from
// it: 9 numbers with 95 % limits, so that one outside is no wonder and two are.
func TestLearnSpreadFindsTheSpreadsOfSimulatedLogs(t *testing.T) {
	outside := 0
	for i, truth := range []Spread{DefaultSpread(), {0.22, 0.06, 0.09}, {0.1, 0.14, 0.2}} {
		w := newWorld(uint64(100 + i))
		w.spread = truth
		got, err := LearnSpread(drawLog(w, 16, 3, 6))
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%+v: combination %.3f (%.3f–%.3f), tester %.3f (%.3f–%.3f), rest %.3f (%.3f–%.3f), gain %.1f %v", truth,
			got.Combination.Value, got.Combination.Low, got.Combination.High, got.Tester.Value, got.Tester.Low, got.Tester.High,
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
	logs := drawLog(newWorld(7), 6, 3, 6)
	first, err := LearnSpread(logs)
	if err != nil {
		t.Fatal(err)
	}
	slices.Reverse(logs)
	for i := range logs {
		logs[i].Tests = slices.Clone(logs[i].Tests)
		slices.Reverse(logs[i].Tests)
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
	bad[0].Tests[3].Trial.To = 0
	if _, err := LearnSpread(bad); !errors.As(err, &out) {
		t.Errorf("an impossible test: %v", err)
	}
}

// With one tester a combination nothing tells the hand from the combination.
func TestLearnSpreadLeavesTheHandAloneWhereNobodyElseTested(t *testing.T) {
	logs := drawLog(newWorld(10), 8, 3, 6)
	for _, l := range logs {
		for i := range l.Tests {
			l.Tests[i].Tester = "a"
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
