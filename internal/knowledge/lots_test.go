package knowledge

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"holdbench/internal/trade"
)

// lotsDrawn draws how six testers, two to four to a combination, would test one gel on
// twelve set-ups, in ln time: a hand that is theirs everywhere, and a rest. Each has
// syringes of two of four lots; the first lot is off by that much, everywhere.
func lotsDrawn(random *rand.Rand, hand, rest, off float64) (tests []BenchTest) {
	numbers := []string{"L1", "L2", "L3", "L4"}
	hands := make([]float64, 6)
	for m := range hands {
		hands[m] = hand * random.NormFloat64()
	}
	for c := range 12 {
		combination := trade.Combination{Product: trade.Product{ID: 1}, Instrument: trade.Instrument{ID: int64(c + 1)}}
		for _, m := range random.Perm(len(hands))[:2+random.IntN(3)] {
			for range 1 + random.IntN(3) {
				lot := (m + random.IntN(2)) % len(numbers)
				ln := hands[m] + rest*random.NormFloat64()
				if lot == 0 {
					ln += off
				}
				tests = append(tests, BenchTest{Combination: combination,
					Tester: Member{ID: int64(m + 1), Ref: string(rune('a' + m))},
					PullML: 0.1, Outcome: Flashback, Seconds: math.Exp(ln), Lot: trade.Lot{Number: numbers[lot]}})
			}
		}
	}
	return tests
}

// Limits at 99 % should leave 1 in 100 of the lots outside that are like the others,
// whether hands differ or not: a lot that two hands had alone is theirs as well.
func TestLotsAreRarelyWronged(t *testing.T) {
	t.Parallel()
	const rounds = 300
	random := rand.New(rand.NewPCG(5725, 5))
	for _, scene := range [][2]float64{{0, 0.4}, {0.3, 0.4}, {0.4, 0.2}} {
		apart, lots := 0, 0
		for range rounds {
			for _, l := range must(lotStandings(lotsDrawn(random, scene[0], scene[1], 0), 0))(t) {
				lots++
				if l.Apart {
					apart++
				}
			}
		}
		part := float64(apart) / float64(lots)
		t.Logf("hand %g, rest %g: %.4f of %d lots stand apart", scene[0], scene[1], part, lots)
		if part > 0.01 {
			t.Errorf("hand %g, rest %g: %.3f of the lots stand apart", scene[0], scene[1], part)
		}
	}
}

// How often a lot is found that takes twice the time, or 1.4 of it.
func TestASlowLotIsFound(t *testing.T) {
	t.Parallel()
	const rounds = 100
	random := rand.New(rand.NewPCG(5725, 6))
	for _, c := range []struct {
		times float64
		least int
	}{{2, 90}, {1.4, 40}} {
		found := 0
		for range rounds {
			lots := must(lotStandings(lotsDrawn(random, 0.1, 0.3, math.Log(c.times)), 1))(t)
			if at := slices.IndexFunc(lots, func(l LotStanding) bool { return l.Lot.Number == "L1" }); lots[at].Apart &&
				lots[at].Low > 1 {
				found++
			}
		}
		t.Logf("a lot at %g times is found %d of %d times", c.times, found, rounds)
		if found < c.least {
			t.Errorf("a lot at %g times is found %d of %d times", c.times, found, rounds)
		}
	}
}

// The limits hold the true ratio as often as they say, with the comparison of a lot with
// the mixture of the others: here all others are alike, so the ratio is the lot's own.
func TestLimitsOfALotHoldItsRatio(t *testing.T) {
	t.Parallel()
	const rounds, times = 300, 1.5
	random := rand.New(rand.NewPCG(5725, 7))
	inside := 0
	for range rounds {
		lots := must(lotStandings(lotsDrawn(random, 0.2, 0.3, math.Log(times)), 1))(t)
		if l := lots[0]; l.Lot.Number == "L1" && l.Low <= times && times <= l.High {
			inside++
		}
	}
	t.Logf("%d of %d limits at 99 %% hold the ratio", inside, rounds)
	if inside < rounds*95/100 {
		t.Errorf("%d of %d limits at 99 %% hold the ratio", inside, rounds)
	}
}

// One hand times every test of one lot at 2 s and another all of the other at 4 s: that
// may be the hands, and nothing is said. Two hands that both had both lots settle it.
func TestALotIsNotBlamedForAHand(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	log := func(ref, lot string, seconds float64, instrument trade.Instrument) BenchTest {
		test := shown(seconds)
		test.Tester, test.Lot.Number, test.Combination.Instrument = Member{Ref: ref}, lot, instrument
		return test
	}
	var tests []BenchTest
	for _, i := range []trade.Instrument{needle(27, 13), needle(30, 13)} {
		for k := range 3 {
			step := 0.1 * float64(k)
			tests = append(tests, log("osier", "a1", 2+step, i), log("lantern", "B2", 4+step, i))
		}
	}
	logAll(t, g, tests)
	for _, l := range must(g.Lots(ctx, 0))(t) {
		if l.Apart || l.Noted != 6 || l.Testers != 1 {
			t.Errorf("one hand each: %+v", l)
		}
	}
	tests = nil
	for _, i := range []trade.Instrument{needle(27, 13), needle(30, 13)} {
		for k := range 3 {
			step := 0.1 * float64(k)
			tests = append(tests, log("osier", "B2", 4.05+step, i), log("lantern", "A1", 2.05+step, i))
		}
	}
	logAll(t, g, tests)
	lots := must(g.Lots(ctx, 0))(t)
	if len(lots) != 2 || !lots[0].Apart || !lots[1].Apart || lots[0].Lot.Number != "A1" || lots[0].Testers != 2 {
		t.Fatalf("got %+v", lots)
	}
	// Six times near 2.1 s against six near 4.1 s: about half, and the other way round.
	if l := lots[0]; !(l.Low < 0.5 && 0.5 < l.High && l.High < 1) || math.Abs(l.Ratio*lots[1].Ratio-1) > 1e-9 {
		t.Errorf("got %+v", lots)
	}
}

func TestTestsWithoutALotAreNotCompared(t *testing.T) {
	tests := lotsDrawn(rand.New(rand.NewPCG(5725, 8)), 0, 0.3, math.Log(2))
	for i := range tests {
		if tests[i].Lot.Number != "L1" {
			tests[i].Lot.Number = ""
		}
	}
	if lots := must(lotStandings(tests, 1))(t); len(lots) != 1 || lots[0].Ratio != 0 || lots[0].Apart ||
		lots[0].Noted == 0 {
		t.Errorf("got %+v", lots)
	}
}

func TestLotsGoThroughAFileAndOlderFilesNeedNone(t *testing.T) {
	s := openStore(t)
	g, other := small(t, s, "local"), small(t, s, "other")
	must(g.LogTest(t.Context(), shown(3)))(t)
	without := g.export(t, "tests")
	noted := shown(4)
	noted.Lot = trade.Lot{Number: "a12-4", Expires: "2027-03"}
	must(g.LogTest(t.Context(), noted))(t)
	file := g.export(t, "tests")
	if !strings.HasPrefix(file, testHead+",lot,expires\r\n") || !strings.Contains(file, ",A12-4,2027-03\r\n") ||
		strings.Contains(without, "lot") {
		t.Errorf("got %s\nwithout %s", file, without)
	}
	for _, step := range []struct {
		file           string
		added, already int
	}{{without, 1, 0}, {file, 1, 1}, {file, 0, 2}, {without, 0, 1}} {
		if r := importText(t, other, "tests", false, strings.TrimSuffix(step.file, "\r\n")); r.Added != step.added ||
			r.Already != step.already || r.Changed != 0 {
			t.Errorf("%+v after\n%s", r, step.file)
		}
	}
	if got := other.export(t, "tests"); got != file {
		t.Errorf("came out as\n%s, want\n%s", got, file)
	}
}

func TestALineBringsALotToATestThatHasNone(t *testing.T) {
	g := small(t, openStore(t), "local")
	head := testHead + ",lot,expires"
	importText(t, g, "tests", false, testHead, goodTest)
	for i, want := range []ImportReport{{Changed: 1}, {Already: 1}} {
		if r := importText(t, g, "tests", false, head, goodTest+",a12,03/2027"); r.Changed != want.Changed ||
			r.Already != want.Already || r.Added != 0 {
			t.Errorf("time %d: %+v", i+1, r)
		}
	}
	tests := must(g.Tests(t.Context(), TestFilter{}))(t)
	if len(tests) != 1 || tests[0].Lot != (trade.Lot{Number: "A12", Expires: "2027-03"}) {
		t.Errorf("got %+v", tests)
	}
	for cells, problem := range map[string]string{",Ada Smith,": "no lot number", ",A1,03/04/2027": "expires:",
		",A1,soon": "expires:"} {
		if bad := importText(t, g, "tests", false, head, goodTest+cells); len(bad.Faults) != 1 ||
			!strings.Contains(bad.Faults[0].Problem, problem) {
			t.Errorf("%s: %+v", cells, bad)
		}
	}
}

// A test from the box has the lot of its syringe, unless its own was said.
func TestATestFromTheBoxHasItsLot(t *testing.T) {
	g, ctx := small(t, openStore(t), "local"), t.Context()
	m := must(g.Member(ctx, "osier"))(t)
	for range 2 {
		must(g.PutAside(ctx, BoxItem{Member: m, Combination: orrickOn27(),
			Lot: trade.Lot{Number: "b7", Expires: "2026-10"}}))(t)
	}
	said := shown(4)
	said.Lot.Number = "c8"
	out := must(g.LogBatch(ctx, m, "", []BoxResult{{Number: 1, Test: shown(3)}, {Number: 2, Test: said}}))(t)
	for i, want := range []trade.Lot{{Number: "B7", Expires: "2026-10"}, {Number: "C8"}} {
		if out[i].Problem != nil || out[i].Test.Lot != want {
			t.Errorf("result %d: %+v, want %+v", i+1, out[i].Test.Lot, want)
		}
	}
	if _, err := g.PutAside(ctx, BoxItem{Member: m, Combination: orrickOn27(),
		Lot: trade.Lot{Number: "warm"}}); err == nil {
		t.Error("a lot without a figure is taken")
	}
}
