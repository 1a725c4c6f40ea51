package knowledge

import (
	"context"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// drawnLog is a log drawn with a fixed seed, so that its spreads are known.
type drawnLog struct {
	products, tests int // so many products on four needles, tested so often by each of three testers
	spread          calc.Spread
}

// drawn founds a community with such a log. Every gel flows with the index of the
// class; departures, hands (new on every combination) and the rest are drawn.
func drawn(t testing.TB, s *Store, l drawnLog) *Group {
	t.Helper()
	g := found(t, s, "drawn")
	random := rand.New(rand.NewPCG(7, 11))
	var testers []Member
	for _, ref := range []string{"osier", "lantern", "tidewell"} {
		testers = append(testers, must(g.Admit(t.Context(), Member{Ref: ref}))(t))
	}
	var tests []BenchTest
	for p := range l.products {
		product := must(g.AddProduct(t.Context(), trade.Product{Name: "Gel " + strconv.Itoa(p),
			Class: calc.MediumHA}))(t)
		gel := calc.Gel{
			Consistency: 45 * math.Exp(0.3*random.NormFloat64()), Index: 0.36,
			Yield: calc.Pressure(30 * math.Exp(0.4*random.NormFloat64())),
		}
		for _, i := range []trade.Instrument{needle(27, 13), needle(30, 4), needle(30, 8), needle(27, 19)} {
			c := trade.Combination{Product: product, Instrument: i}
			departure := l.spread.Combination * random.NormFloat64()
			for _, tester := range testers {
				hand := l.spread.Tester * random.NormFloat64()
				for range l.tests {
					tests = append(tests,
						drawnTest(t, c, tester, gel, departure+hand+l.spread.Rest*random.NormFloat64()))
				}
			}
		}
	}
	logAll(t, g, tests)
	return g
}

// drawnTest is a test of a gel as if its suction were e^off times the computed one.
func drawnTest(t testing.TB, c trade.Combination, tester Member, gel calc.Gel, off float64) BenchTest {
	t.Helper()
	setup, _, err := c.Setup()
	if err != nil {
		t.Fatal(err)
	}
	suction := must(calc.Draw{Pull: calc.DefaultPull, Gas: setup.Gas}.Suction())(t)
	at := float64(must(calc.GelOnlyExitTime(gel, setup.Tube, suction*calc.Pressure(math.Exp(off))))(t).Time)
	test := shown(math.Round(at*30) / 30)
	if at > 60 {
		test.Outcome, test.Seconds = None, 0
	}
	test.Combination, test.Tester, test.WatchedS = c, tester, 60
	return test
}

// logAll logs tests in one transaction, with no estimates in between.
func logAll(t testing.TB, g *Group, tests []BenchTest) {
	t.Helper()
	err := g.store.inTx(t.Context(), func(q querier) error {
		for _, test := range tests {
			if _, err := g.logTest(t.Context(), q, test); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// wide is twice the default spread of testers and rest.
var wide = calc.Spread{Combination: 0.15, Tester: 0.14, Rest: 0.22}

func within(s calc.Statistic, truth float64) bool { return truth >= s.Low && truth <= s.High }

func TestTheSpreadOfADrawnLogIsLearned(t *testing.T) {
	t.Parallel()
	g, ctx := drawn(t, openStore(t), drawnLog{products: 6, tests: 3, spread: wide}), t.Context()
	before := must(g.Spread(ctx))(t)
	if before.InForce.Own || before.InForce.Version != 0 || before.InForce.Spread != calc.DefaultSpread() {
		t.Errorf("before anything was learned: %+v", before.InForce)
	}
	if before.Repeats != 6*4*3*2 || before.RepeatedCombinations != 24 || !before.Enough() {
		t.Errorf("%d repeats in %d combinations", before.Repeats, before.RepeatedCombinations)
	}
	o := must(g.LearnSpreads(ctx))(t)
	if !o.Looked || !o.Changed || !o.InForce.Own || o.InForce.Version != 1 || !o.InForce.MadeAt.Equal(stopped) {
		t.Fatalf("got %+v", o)
	}
	l := o.InForce.Learned
	if !within(l.Combination, wide.Combination) || !within(l.Tester, wide.Tester) || !within(l.Rest, wide.Rest) {
		t.Errorf("learned %+v of %+v", l, wide)
	}
	if l.Repeats != before.Repeats || l.RepeatedCombinations != 24 || l.Testers != 3 || l.Products != 6 ||
		l.Rest.N != 216 {
		t.Errorf("it stands on %+v", l)
	}
	after := must(g.Spread(ctx))(t)
	if after.InForce.Spread != l.Spread || after.InForce.LogVersion != 216 {
		t.Errorf("in force: %+v", after.InForce)
	}
	// ln time goes with ln suction to a power above 1 + 1/n = 3.8: the times
	// scatter at least so much more.
	if m := after.Measured; m == nil || m.Repeatability.Value < 3.8*0.8*wide.Rest ||
		m.Reproducibility.Value < m.Repeatability.Value {
		t.Errorf("measured %+v", m)
	}
}

func TestTooFewRepeatsLeaveTheDefaults(t *testing.T) {
	t.Parallel()
	g, ctx := drawn(t, openStore(t), drawnLog{products: 1, tests: 3, spread: wide}), t.Context()
	if o := must(g.LearnSpreads(ctx))(t); o.Looked || o.InForce.Own {
		t.Errorf("not due, yet %+v", o)
	}
	o := must(g.LearnSpreadsNow(ctx))(t)
	if !o.Looked || o.Changed || o.TooFew == nil || o.TooFew.Repeats != 24 || o.TooFew.Combinations != 4 ||
		o.InForce.Version != 0 {
		t.Errorf("got %+v", o)
	}
}

// spreadOf is the spread an answer stands on, and the range of its share.
func spreadOf(t testing.TB, g *Group, c trade.Combination) (GroupSpread, calc.Share) {
	t.Helper()
	e := must(g.Evidence(t.Context(), c, 0))(t)
	return e.Spread, e.Forecast.Share(e.Ceiling)
}

func TestAnAnswerStandsOnTheSpreadInForce(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "bench.db")
	g := drawn(t, openAt(t, path), drawnLog{products: 3, tests: 3, spread: wide})
	untested := trade.Combination{Product: trade.Product{Name: "Gel 1"}, Instrument: needle(30, 13)}
	tested := trade.Combination{Product: trade.Product{Name: "Gel 1"}, Instrument: needle(27, 19)}
	other := must(openAt(t, path).Group(t.Context(), "drawn"))(t) // another program
	for _, c := range []trade.Combination{tested, untested} {
		spread, before := spreadOf(t, g, c)
		if spread.Own {
			t.Fatalf("%v: learned unasked", c)
		}
		spreadOf(t, other, c)
		if _, again := spreadOf(t, g, c); again != before {
			t.Errorf("%v: %+v, then %+v", c, before, again)
		}
	}
	_, before := spreadOf(t, g, tested)
	must(g.LearnSpreadsNow(t.Context()))(t)
	spread, after := spreadOf(t, g, tested)
	if !spread.Own || spread.Version != 1 || after == before {
		t.Errorf("%+v: %+v, with the defaults %+v", spread, after, before)
	}
	if there, same := spreadOf(t, other, tested); there.Version != 1 || same != after {
		t.Errorf("another program answers from %+v: %+v, want %+v", there, same, after)
	}
	if spread, _ := spreadOf(t, other, untested); !spread.Own {
		t.Errorf("an untested one stands on %+v", spread)
	}
	var stale int
	if err := g.store.look().Row(t.Context(), `SELECT COUNT(*) FROM estimates WHERE spread_version <> 1`).Scan(&stale); err != nil || stale > 0 {
		t.Errorf("%d estimates were left behind, %v", stale, err)
	}
}

func TestWhatATestIsWorthStandsOnTheSpreadInForce(t *testing.T) {
	t.Parallel()
	g, ctx := drawn(t, openStore(t), drawnLog{products: 3, tests: 3, spread: wide}), t.Context()
	item := StockItem{Member: Member{Ref: "osier"}, StockedOn: "2026-01-01",
		Combination: trade.Combination{Product: trade.Product{Name: "Gel 1"}, Instrument: needle(30, 13)}}
	must(g.AddStock(ctx, item))(t)
	before := must(g.Untested(ctx, "2026-11-25"))(t)
	must(g.LearnSpreadsNow(ctx))(t)
	after := must(g.Untested(ctx, "2026-11-25"))(t)
	if len(before) != 1 || len(after) != 1 || before[0].Worth == after[0].Worth {
		t.Errorf("before %+v\nafter %+v", before, after)
	}
}

// toldBy says what verdicts changed by a cause.
func toldBy(changes []VerdictChange, cause VerdictCause) (told []string) {
	for _, c := range changes {
		if c.Cause == cause {
			told = append(told, c.Combination.String()+": "+string(c.Before)+" → "+string(c.After))
		}
	}
	return told
}

// A verdict that changes with the spread is not told as new tests, even when tests
// came in between: what the tests change is what they change without the spread.
func TestVerdictChangesTellTheSpreadFromTheTests(t *testing.T) {
	t.Parallel()
	var fresh []BenchTest
	for range 4 {
		test := shown(0.4)
		test.Combination = trade.Combination{Product: trade.Product{Name: "Gel 0"}, Instrument: needle(32, 4)}
		fresh = append(fresh, test)
	}
	changes := func(learn bool) []VerdictChange {
		g, ctx := drawn(t, openStore(t), drawnLog{products: 6, tests: 3, spread: wide}), t.Context()
		// at which some lie near a line
		if err := g.UpdateSettings(ctx, func(to *Settings) error { to.Ceiling = 2; return nil }); err != nil {
			t.Fatal(err)
		}
		before := len(must(g.VerdictChanges(ctx, time.Time{}))(t))
		logAll(t, g, fresh) // unseen, as by a program that stopped
		if learn {
			must(g.LearnSpreadsNow(ctx))(t)
		}
		return must(g.VerdictChanges(ctx, time.Time{}))(t)[before:]
	}
	alone, both := changes(false), changes(true)
	if got, want := toldBy(both, NewTests), toldBy(alone, NewTests); len(want) == 0 || !slices.Equal(got, want) {
		t.Errorf("by new tests %q, want %q", got, want)
	}
	if len(toldBy(alone, SpreadLearned)) > 0 || len(toldBy(both, SpreadLearned)) == 0 ||
		len(toldBy(both, LogChanged)) > 0 {
		t.Errorf("with the spread learned %+v, without %+v", both, alone)
	}
}

func TestOfManyProgramsOneLearns(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "bench.db")
	drawn(t, openAt(t, path), drawnLog{products: 3, tests: 3, spread: wide})
	var groups []*Group
	for range 4 {
		groups = append(groups, must(openAt(t, path).Group(t.Context(), "drawn"))(t))
	}
	var all sync.WaitGroup
	var mu sync.Mutex
	looked, changed := 0, 0
	for _, g := range groups {
		all.Go(func() {
			o, err := g.LearnSpreads(t.Context())
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Error(err)
			}
			if o.Looked {
				looked++
			}
			if o.Changed {
				changed++
			}
		})
	}
	all.Wait()
	if looked != 1 || changed != 1 {
		t.Errorf("%d learned, %d changed the spread", looked, changed)
	}
	if r := must(groups[0].Spread(t.Context()))(t); r.InForce.Version != 1 {
		t.Errorf("version %d", r.InForce.Version)
	}
}

// A program that stands still for longer than a turn lasts, and goes on when another
// has learned in its place: it has learned nothing, and says so.
func TestATurnThatWasLostDoesNotReportItselfDone(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := drawn(t, s, drawnLog{products: 3, tests: 3, spread: wide}), t.Context()
	lost, mine, err := g.takeSpreadTurn(ctx, false)
	if err != nil || !mine {
		t.Fatal(mine, err)
	}
	clock.set(stopped.Add(turnLease))
	if o := must(g.LearnSpreads(ctx))(t); !o.Looked || !o.Changed || o.InForce.Version != 1 {
		t.Fatalf("taken over: %+v", o)
	}
	if o := must(g.learnInTurn(ctx, lost))(t); o.Looked || o.Changed || o.TooFew != nil {
		t.Errorf("the lost turn reports %+v", o)
	}
	if spread := must(g.SpreadInForce(ctx))(t); spread.Version != 1 || !spread.MadeAt.Equal(clock.read()) {
		t.Errorf("in force: %+v", spread)
	}
}

// When learning is due, as the days go by and the log grows.
func TestLearningIsDueWhenTheLogHasGrown(t *testing.T) {
	t.Parallel()
	now := stopped
	s := must(Open(t.Context(), at(t, filepath.Join(t.TempDir(), "bench.db")),
		WithClock(func() time.Time { return now }), WithPatience(time.Hour)))(t)
	t.Cleanup(func() { s.Close() })
	g := drawn(t, s, drawnLog{products: 3, tests: 3, spread: wide})
	looks := func(scene string, want bool, version int64) {
		t.Helper()
		o := must(g.LearnSpreads(t.Context()))(t)
		if o.Looked != want || o.InForce.Version != version {
			t.Errorf("%s: looked %t, version %d; want %t, %d", scene, o.Looked, o.InForce.Version, want, version)
		}
	}
	repeat := func(n int) {
		t.Helper()
		var more []BenchTest
		for range n {
			test := shown(1.5)
			test.Combination = trade.Combination{Product: trade.Product{Name: "Gel 0"}, Instrument: needle(30, 8)}
			more = append(more, test)
		}
		logAll(t, g, more)
	}
	looks("enough repeats", true, 1)
	looks("the same log", false, 1)
	repeat(10) // of 72: more than a tenth
	looks("grown, the same day", false, 1)
	now = now.Add(25 * time.Hour)
	looks("grown, the day after", true, 2)
	repeat(3)
	now = now.Add(25 * time.Hour)
	looks("hardly grown", false, 2)
	now = now.Add(29 * 24 * time.Hour)
	looks("hardly grown, weeks later", true, 3)
	now = now.Add(29 * 24 * time.Hour)
	looks("not changed for weeks", false, 3)
}

func TestWithdrawnRepeatsBringTheDefaultsBack(t *testing.T) {
	t.Parallel()
	g, ctx := drawn(t, openStore(t), drawnLog{products: 2, tests: 3, spread: wide}), t.Context()
	if o := must(g.LearnSpreadsNow(ctx))(t); !o.InForce.Own {
		t.Fatalf("got %+v", o)
	}
	for _, test := range must(g.Tests(ctx, TestFilter{}))(t) {
		if test.Combination.Instrument.LengthMM == 4 || test.Combination.Product.Name == "Gel 1" {
			must(g.WithdrawTest(ctx, test.ID, Member{Ref: "osier"}, "the wrong milk"))(t)
		}
	}
	o := must(g.LearnSpreadsNow(ctx))(t)
	if o.TooFew == nil || !o.Changed || o.InForce.Own || o.InForce.Version != 2 ||
		o.InForce.Spread != calc.DefaultSpread() {
		t.Errorf("got %+v", o)
	}
	if spread, _ := spreadOf(t, g, trade.Combination{Product: trade.Product{Name: "Gel 0"},
		Instrument: needle(27, 13)}); spread.Own || spread.Version != 2 {
		t.Errorf("an answer stands on %+v", spread)
	}
}

// A program that ends while it learns leaves the turn to the next one.
func TestLearningThatIsCutShortChangesNothing(t *testing.T) {
	t.Parallel()
	g := drawn(t, openStore(t), drawnLog{products: 3, tests: 3, spread: wide})
	turn, mine, err := g.takeSpreadTurn(t.Context(), false)
	if err != nil || !mine {
		t.Fatal(mine, err)
	}
	if _, mine, _ := g.takeSpreadTurn(t.Context(), true); mine {
		t.Error("two have the turn")
	}
	ended, stop := context.WithCancel(t.Context())
	stop()
	if _, err := g.learnInTurn(ended, turn); err == nil {
		t.Error("it went on")
	}
	if r := must(g.Spread(t.Context()))(t); r.InForce.Version != 0 {
		t.Errorf("version %d", r.InForce.Version)
	}
	if o := must(g.LearnSpreads(t.Context()))(t); !o.Changed {
		t.Errorf("the next one: %+v", o)
	}
}

func TestALearnedSpreadIsStoredWithItsRemarks(t *testing.T) {
	t.Parallel()
	g, ctx := drawn(t, openStore(t), drawnLog{products: 3, tests: 3,
		spread: calc.Spread{Combination: 0.15, Tester: 0.01, Rest: 0.35}}), t.Context()
	l := must(g.LearnSpreadsNow(ctx))(t).InForce.Learned
	if len(l.Warnings) == 0 || !strings.Contains(l.Warnings[len(l.Warnings)-1], "edge") {
		t.Errorf("remarks %q", l.Warnings)
	}
	if l.Gain <= 0 ||
		!(l.Rest.Low <= l.Rest.Value && l.Rest.Value <= l.Rest.High) {
		t.Errorf("got %+v", l)
	}
}
