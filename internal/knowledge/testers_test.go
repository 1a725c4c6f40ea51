package knowledge

import (
	"math"
	"math/rand/v2"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// handsDrawn draws how nine testers, two to four to a combination, would test
// twenty combinations, in ln time: a hand that is new on each, and a rest. The
// first tester's hand is off by that much besides, everywhere.
func handsDrawn(random *rand.Rand, hand, rest, off float64) (members []Member, tests []BenchTest) {
	for m := range 9 {
		members = append(members, Member{ID: int64(m + 1), Ref: string(rune('a' + m))})
	}
	for c := range 20 {
		combination := trade.Combination{Product: trade.Product{ID: int64(c + 1)}}
		for _, m := range random.Perm(len(members))[:2+random.IntN(3)] {
			u := hand * random.NormFloat64()
			if m == 0 {
				u += off
			}
			for range 1 + random.IntN(3) {
				tests = append(tests, BenchTest{Combination: combination, Tester: members[m], PullML: 0.1,
					Outcome: Flashback, Seconds: math.Exp(u + rest*random.NormFloat64())})
			}
		}
	}
	return members, tests
}

// Limits at 99 % should leave 1 in 100 of the testers outside who do not differ.
func TestTestersAreRarelyWronged(t *testing.T) {
	t.Parallel()
	const rounds = 150
	random := rand.New(rand.NewPCG(5725, 3))
	for scene, most := range map[[2]float64]float64{{0, 0.4}: 0.02, {0.3, 0.4}: 0.035, {0.4, 0.27}: 0.05} {
		differ := 0
		for range rounds {
			for _, s := range must(standings(handsDrawn(random, scene[0], scene[1], 0)))(t) {
				if s.Differs {
					differ++
				}
			}
		}
		if part := float64(differ) / (9 * rounds); part > most {
			t.Errorf("hand %g, rest %g: %.3f of the testers differ", scene[0], scene[1], part)
		}
	}
}

// How often a tester is found who logs half the time, or 0.7 of it.
func TestAFastHandIsFound(t *testing.T) {
	t.Parallel()
	const rounds = 100
	random := rand.New(rand.NewPCG(5725, 4))
	for _, c := range []struct {
		part  float64
		least int
	}{{0.5, 85}, {0.7, 40}} {
		found := 0
		for range rounds {
			if s := must(standings(handsDrawn(random, 0.1, 0.3, math.Log(c.part))))(t)[0]; s.Differs && s.High < 1 {
				found++
			}
		}
		t.Logf("a hand at %g of the time is found %d of %d times", c.part, found, rounds)
		if found < c.least {
			t.Errorf("a hand at %g of the time is found %d of %d times", c.part, found, rounds)
		}
	}
}

// Twice the pull is half the time: that is no matter of the hand.
func TestTestersAreNotComparedAcrossPulls(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	var tests []BenchTest
	for k := range 6 {
		for _, i := range []trade.Instrument{needle(27, 13), needle(30, 13)} {
			for m, pull := range map[string]float64{"osier": 0.05, "lantern": 0.2} {
				test := shown(2 + 0.1*float64(k))
				if m == "osier" {
					test.Seconds *= 2
				}
				test.Tester, test.PullML, test.Combination.Instrument = Member{Ref: m}, pull, i
				tests = append(tests, test)
			}
		}
	}
	logAll(t, g, tests)
	for _, s := range must(g.Testers(ctx))(t) {
		if s.Differs || s.Tests != 0 {
			t.Errorf("got %+v", s)
		}
	}
	r := must(g.Spread(ctx))(t)
	if r.Measured == nil || r.Measured.Repeatability.Value > 0.15 || r.Measured.BetweenTesters.High < math.Inf(1) {
		t.Errorf("measured %+v", r.Measured)
	}
}

// One hand logs seconds for tenths once: that is a slip, no hand.
func TestASlipMakesNobodyDiffer(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	var tests []BenchTest
	for _, i := range []trade.Instrument{needle(27, 13), needle(30, 13)} {
		for k := range 4 {
			for _, m := range []string{"osier", "lantern"} {
				test := shown(4 + 0.2*float64(k))
				test.Tester, test.Combination.Instrument = Member{Ref: m}, i
				tests = append(tests, test)
			}
		}
	}
	tests[0].Seconds = 0.1
	logAll(t, g, tests)
	r := must(g.Spread(ctx))(t)
	if r.Slips != 1 || r.Measured == nil || r.Measured.Repeatability.N != len(tests)-1 ||
		r.Measured.Repeatability.Value > 0.2 {
		t.Errorf("%d slips, measured %+v", r.Slips, r.Measured)
	}
	for _, s := range r.Testers {
		if s.Differs || math.Abs(s.Ratio-1) > 0.2 {
			t.Errorf("got %+v", s)
		}
	}
	if r.Repeats != len(tests)-4 || calc.RepeatsNeeded <= r.Repeats || r.Enough() {
		t.Errorf("%d repeats", r.Repeats)
	}
}
