package knowledge

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

func TestWhatMostMembersUseComesFirst(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	p := must(g.Product(ctx, "Orrick Mid"))(t)
	many := needle(27, 13)
	for n := range 3 {
		m := must(g.Admit(ctx, Member{Ref: fmt.Sprint("user ", n)}))(t)
		must(g.AddStock(ctx, StockItem{Member: m, Combination: on(p, many), StockedOn: "2026-01-01"}))(t)
	}
	twin := must(g.AddProduct(ctx, trade.Product{Name: "Twin", Class: calc.MediumHA}))(t) // the same to the model
	must(g.AddStock(ctx, StockItem{Member: osier, Combination: on(twin, many), StockedOn: "2026-01-01"}))(t)
	must(g.AddStock(ctx, StockItem{Member: osier, Combination: on(twin, trade.Instrument{}),
		StockedOn: "2026-01-01"}))(t)
	open := must(g.Untested(ctx, "2026-11-25"))(t)
	if len(open) != 2 || open[0].Users != 3 || open[0].Combination.Product.ID != p.ID || open[1].Users != 1 {
		t.Fatalf("got %+v", open)
	}
	if ratio := open[0].Score / open[1].Score; math.Abs(ratio-3) > 1e-9 {
		t.Errorf("three users count %v times one", ratio)
	}
	if !strings.HasPrefix(open[0].Why, "3 use it, untested; a test tells ") ||
		!strings.HasPrefix(open[1].Why, "1 uses it, untested; ") {
		t.Errorf("why: %q, %q", open[0].Why, open[1].Why)
	}
}

func TestNewlyStockedComesFirstOfThoseThatTie(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	stock := func(name, day string) {
		t.Helper()
		p := must(g.AddProduct(ctx, trade.Product{Name: name, Class: calc.MediumHA}))(t)
		must(g.AddStock(ctx, StockItem{Member: osier, Combination: on(p, needle(27, 13)), StockedOn: day}))(t)
	}
	stock("Long there", "2026-01-01")
	stock("Just too old", "2026-10-27")
	stock("New", "2026-10-28")
	stock("Newest", "2026-11-20")
	// Another member's stock does not make new what somebody has had all along; that
	// two use it puts it first.
	long := must(g.Product(ctx, "Long there"))(t)
	must(g.AddStock(ctx, StockItem{Member: lantern, Combination: on(long, needle(27, 13)), StockedOn: "2026-11-24"}))(t)
	var got []string
	for _, o := range must(g.Untested(ctx, "2026-11-25"))(t) {
		got = append(got, fmt.Sprint(o.Combination.Product.Name, " ", o.NewlyStocked, " ",
			strings.Contains(o.Why, "new in stock")))
	}
	want := []string{"Long there false false", "Newest true true", "New true true", "Just too old false false"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestWhatIsSettledIsNoLongerOpen(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	must(g.AddStock(ctx, StockItem{Member: osier, Combination: orrickOn27(), StockedOn: "2026-01-01"}))(t)
	never := must(g.Untested(ctx, "2026-11-25"))(t)
	if len(never) != 1 || never[0].Tests != 0 || never[0].Claim != nil {
		t.Fatalf("got %+v", never)
	}
	must(g.LogTest(ctx, shown(9)))(t)
	taken := must(g.TakeOn(ctx, lantern, orrickOn27(), "2026-11-30"))(t)
	once := must(g.Untested(ctx, "2026-11-25"))(t)
	if len(once) != 1 || once[0].Tests != 1 || once[0].State != calc.StateTooFewTests || once[0].Claim == nil ||
		once[0].Claim.ID != taken.ID ||
		!strings.Contains(once[0].Why, "1 uses it, 1 test by 1 member;") {
		t.Fatalf("got %+v", once)
	}
	if late := must(g.Untested(ctx, "2026-12-01"))(t); late[0].Claim != nil {
		t.Errorf("a late claim still stands: %+v", late[0].Claim)
	}
	e := must(g.Evidence(ctx, orrickOn27(), 0))(t)
	if want := must(e.Forecast.Worth(10, 30))(t); once[0].Worth != want || !(want.Loss() > 0) {
		t.Errorf("worth %+v, the forecast says %+v", once[0].Worth, want)
	}
	logMany(t, g, needle(27, 13), 10, 3)
	if open := must(g.Untested(ctx, "2026-11-25"))(t); len(open) != 0 {
		t.Errorf("still open: %+v", open)
	}
}

func TestTheDemoHasTheSameOrderEveryTime(t *testing.T) {
	t.Parallel()
	g := demo(t, openStore(t), "demo")
	first := must(g.Untested(t.Context(), "2026-11-25"))(t)
	if len(first) < 20 {
		t.Fatalf("%d open combinations", len(first))
	}
	for i, o := range first {
		if o.Users < 1 || !(o.Score >= 0) || o.Why == "" || o.Tests > 0 && !TestsMayMend(o.State) {
			t.Errorf("got %+v", o)
		}
		if i > 0 && o.missing() == first[i-1].missing() && math.Round(o.Score/scoreTie) > math.Round(first[i-1].Score/scoreTie) {
			t.Errorf("number %d is worth more than the one before", i+1)
		}
	}
	again := demo(t, openStore(t), "another")
	if got, want := openly(again.Untested(t.Context(), "2026-11-25")), openly(first, nil); got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

func TestWhatATestIsWorthIsNeverStale(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	mid, twin := twoProducts(t, g)
	for _, p := range []trade.Product{mid, twin} {
		must(g.AddStock(ctx, StockItem{Member: osier, Combination: on(p, needle(27, 13)), StockedOn: "2026-01-01"}))(t)
	}
	check := func(scene string) {
		t.Helper()
		ceiling := must(g.Settings(ctx))(t).Ceiling
		for _, o := range must(g.Untested(ctx, "2026-11-25"))(t) {
			e := must(g.Evidence(ctx, o.Combination, 0))(t)
			if want := must(e.Forecast.Worth(ceiling, WatchSeconds(ceiling)))(t); o.Worth != want || e.Tested &&
				o.State != e.State {
				t.Errorf("%s: %s is worth %+v and %s, want %+v and %s", scene, o.Combination, o.Worth, o.State, want,
					e.State)
			}
		}
	}
	check("at first")
	check("as kept")
	must(g.LogTest(ctx, shown(9)))(t)
	check("after a test")
	if err := g.UpdateSettings(ctx, func(to *Settings) error { to.Ceiling = 4; return nil }); err != nil {
		t.Fatal(err)
	}
	check("at another ceiling")
	wider := must(g.Instrument(ctx, "27G 13 mm needle"))(t)
	wider.BoreMM = 0.3
	must(g.UpdateInstrument(ctx, wider))(t)
	check("with a measured bore, which changes the untested one too")
	must(g.SetClass(ctx, twin.ID, calc.CaHAPaste, lantern, "leaflet"))(t)
	check("of another class")
	must(g.MergeProducts(ctx, mid.ID, twin.ID, lantern, "one box"))(t)
	check("after a merge")
	if err := g.UpdateSettings(ctx, func(to *Settings) error { to.Ceiling = 10; return nil }); err != nil {
		t.Fatal(err)
	}
	check("at the first ceiling again")
}

func TestWatchingLongEnoughAndNotLonger(t *testing.T) {
	t.Parallel()
	for ceiling, want := range map[calc.Seconds]calc.Seconds{1: 30, 10: 30, 15: 30, 20: 40, 60: 120, 120: 120} {
		if got := WatchSeconds(ceiling); got != want {
			t.Errorf("ceiling %v: %v s, want %v", ceiling, got, want)
		}
	}
}

// BenchmarkUntestedFirst is the list of what is untested in a community that uses
// 300 combinations of 60 products with 1 000 tests, asked for the first time: the
// estimates are stored, what a test is worth is worked out for all of them.
func BenchmarkUntestedFirst(b *testing.B) {
	g := busyCommunity(b)
	for b.Loop() {
		b.StopTimer()
		g.store.forget()
		if _, err := unchecked(g.store.Store).Exec(b.Context(), `DELETE FROM appraisals`); err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
		untested(b, g)
	}
}

// BenchmarkUntestedCold is the same after a restart, and with one product tested
// since.
func BenchmarkUntestedCold(b *testing.B) {
	g := busyCommunity(b)
	for b.Loop() {
		b.StopTimer()
		test := shown(4)
		test.Combination.Product.Name = "Gel 07"
		must(g.LogTest(b.Context(), test))(b)
		g.store.forget()
		b.StartTimer()
		untested(b, g)
	}
}

// BenchmarkUntestedWarm is the same asked again.
func BenchmarkUntestedWarm(b *testing.B) {
	g := busyCommunity(b)
	for b.Loop() {
		untested(b, g)
	}
}

func untested(b *testing.B, g *Group) {
	open, err := g.Untested(b.Context(), "2026-11-25")
	if err != nil || len(open) < 200 {
		b.Fatal(len(open), err)
	}
}

func busyCommunity(b *testing.B) *Group {
	b.Helper()
	g, ctx := small(b, openStore(b), "busy"), b.Context()
	rng := rand.New(rand.NewPCG(3, 4))
	instruments := []trade.Instrument{needle(27, 13), needle(27, 19), needle(29, 13), needle(30, 8), needle(30, 13),
		needle(31, 8)}
	err := g.store.inTx(ctx, func(q querier) error {
		for n := range 60 {
			class := calc.GelClasses()[n%8]
			p, err := g.addProduct(ctx, q, trade.Product{Name: fmt.Sprintf("Gel %02d", n), Class: class})
			if err != nil {
				return err
			}
			for _, i := range instruments[:5] {
				for _, m := range []Member{osier, lantern}[:1+rng.IntN(2)] {
					if _, _, err := g.addStock(ctx, q,
						StockItem{Member: m, Combination: on(p, i), StockedOn: "2026-01-01"}); err != nil {
						return err
					}
				}
			}
			for range 17 {
				test := shown(float64(1+rng.IntN(2900)) / 100)
				test.Combination = on(p, instruments[rng.IntN(2)*5])
				if _, err := g.logTest(ctx, q, test); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	untested(b, g)
	return g
}
