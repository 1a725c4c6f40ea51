package knowledge

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// watched is a test without flashback.
func watched(seconds float64) BenchTest {
	test := shown(0)
	test.Outcome, test.WatchedS = None, seconds
	return test
}

// countOf is a combination's place in a file, with these tests.
func countOf(t *testing.T, tests ...BenchTest) *testedFile {
	t.Helper()
	one := &testedFile{list: must(ListOf(tests...))(t)}
	one.complete()
	return one
}

func TestATestCountsByTheCeilingOnlyIfItTellsAboutIt(t *testing.T) {
	tests := []BenchTest{shown(2), shown(10), shown(10.01), shown(4), watched(9.9), watched(10), watched(30)}
	for i := range tests {
		tests[i].Tester.ID = int64(i % 3)
	}
	got, err := countOf(t, tests...).count(10)
	if err != nil {
		t.Fatal(err)
	}
	// Counted by hand: 2, 4 and 10 s are at or before the ceiling; 9.9 s of
	// watching says nothing about it.
	want := Counts{Run: 7, ShownByCeiling: 3, ShownLater: 1, None: 3, TooShort: 1, Testers: 3,
		Shortest: 2, Median: 7, Longest: 10.01}
	bare := got
	bare.Shown, bare.ByCeiling, bare.Curve = calc.Statistic{}, calc.Statistic{}, nil
	if fmt.Sprint(bare) != fmt.Sprint(want) {
		t.Errorf("got %+v, want %+v", bare, want)
	}
	if got.Shown.Events != 3 || got.Shown.N != 6 || got.Shown.Value != 0.5 {
		t.Errorf("exact share: %+v", got.Shown)
	}
	// By hand: 7 watched, shown at 2 (1−1/7), 4 (1−1/6), then 9.9 drops out, 10 (1−1/4).
	if hand := 1 - (6.0/7)*(5.0/6)*(3.0/4); math.Abs(got.ByCeiling.Value-hand) > 1e-12 {
		t.Errorf("by the curve %v, want %v", got.ByCeiling.Value, hand)
	}
}

func TestCountsOfNoneAlone(t *testing.T) {
	got, err := countOf(t, watched(5), watched(6)).count(10)
	if err != nil || got.Run != 2 || got.TooShort != 2 || got.Shown.N != 0 || got.Shortest != 0 {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestTheCeilingOfTheGroupDecides(t *testing.T) {
	g := small(t, openStore(t), "local")
	must(g.LogTest(t.Context(), shown(12)))(t)
	if c := must(g.Evidence(t.Context(), orrickOn27(), 0))(t).Counts; c.ShownByCeiling != 0 || c.ShownLater != 1 {
		t.Errorf("at 10 s: %+v", c)
	}
	if err := g.UpdateSettings(t.Context(), func(to *Settings) error { to.Ceiling = 15; return nil }); err != nil {
		t.Fatal(err)
	}
	e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
	if e.Counts.ShownByCeiling != 1 || e.Ceiling != 15 || e.Verdict != e.Forecast.Verdict(15) {
		t.Errorf("at 15 s: %+v", e.Counts)
	}
}

func TestAnUntestedCombinationIsAnsweredForAsItIsDescribed(t *testing.T) {
	g := demo(t, openStore(t), "demo")
	c := trade.Combination{Product: trade.Product{Name: "deep"}, Instrument: trade.Instrument{Kind: trade.Needle,
		Gauge: 28, LengthMM: 9}}
	e := must(g.Evidence(t.Context(), c, 0))(t)
	if e.Tested || e.Tests.Len() != 0 || e.Counts.Run != 0 || e.Surprise != 1 || !e.AssumedWall ||
		e.Combination.Instrument.ID != 0 {
		t.Errorf("got %+v", e)
	}
	if e.Combination.Product.Name != "Dunmere Deep" || e.Pull != calc.DefaultPull || e.Ceiling != 10 ||
		e.Target != 0.9 {
		t.Errorf("got %s, pull %v, ceiling %v, target %v", e.Combination, e.Pull, e.Ceiling, e.Target)
	}
	if e.ClassTests != 36 { // firm HA in the demo log: Orrick Firm 24, Pellow Contour 10, Dunmere Deep 2, by grep
		t.Errorf("%d tests in the class", e.ClassTests)
	}
	if i := must(g.Instruments(t.Context()))(t); len(i) != 11 {
		t.Error("a question put an instrument onto the list")
	}
	c.Instrument.Gauge = 19
	_, err := g.Evidence(t.Context(), c, 0)
	refused(t, err, "gauge")
	if _, err := g.Evidence(t.Context(), trade.Combination{Product: trade.Product{Name: "Nothing"},
		Instrument: needle(27, 13)}, 0); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
	var outside *calc.RangeError
	if _, err := g.Evidence(t.Context(), orrickOn27(), -1); !errors.As(err, &outside) {
		t.Errorf("got %v", err)
	}
}

func TestThePullOfTheQuestionCounts(t *testing.T) {
	g := demo(t, openStore(t), "demo")
	c := trade.Combination{Product: trade.Product{Name: "Orrick Firm"}, Instrument: needle(27, 13)}
	short, long := must(g.Evidence(t.Context(), c, 0.05*calc.Millilitre))(t),
		must(g.Evidence(t.Context(), c, 0.2*calc.Millilitre))(t)
	if !(short.Forecast.Share(10).Mean < long.Forecast.Share(10).Mean) {
		t.Errorf("a longer pull does not show sooner: %v, %v", short.Forecast.Share(10), long.Forecast.Share(10))
	}
}

func TestNeighboursAreTheNearestTested(t *testing.T) {
	g := demo(t, openStore(t), "demo")
	e := must(g.Evidence(t.Context(), trade.Combination{Product: trade.Product{Name: "Tamsel Soft"},
		Instrument: needle(29, 13)}, 0))(t)
	var got []string
	for _, n := range e.Nearest {
		got = append(got, n.Combination.String()+": "+n.Why)
		direct := must(g.Evidence(t.Context(), n.Combination, 0))(t)
		if n.State != direct.State || n.Tests != direct.Counts.Run {
			t.Errorf("%s as a neighbour: %+v; asked for: %s, %d tests", n.Combination, n, direct.State,
				direct.Counts.Run)
		}
	}
	want := []string{ // bores 0.190, 0.165, 0.241, 0.125 and 0.292 mm
		"Tamsel Soft, 30G 13 mm needle, supplied syringe: same gel, same length, one gauge finer",
		"Tamsel Soft, 27G 13 mm needle, supplied syringe: same gel, same length, two gauges wider",
		"Tamsel Soft, 31G 8 mm needle, fixed-needle 0.3 mL syringe: same gel, 5 mm shorter, two gauges finer, " +
			"fixed-needle 0.3 mL syringe",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %s\nwant %s", strings.Join(got, "\n    "), strings.Join(want, "\n     "))
	}
}

func TestNeighboursOfAProductNobodyTestedAreOfItsClass(t *testing.T) {
	g := demo(t, openStore(t), "demo")
	must(g.AddProduct(t.Context(), trade.Product{Name: "Brand New", Class: calc.FirmHA}))(t)
	e := must(g.Evidence(t.Context(), trade.Combination{Product: trade.Product{Name: "Brand New"},
		Instrument: needle(27, 13)}, 0))(t)
	var got []string
	for _, n := range e.Nearest {
		got = append(got, fmt.Sprintf("%s, %d tests: %s", n.Combination.Product.Name, n.Tests, n.Why))
	}
	want := []string{ // most tests first, counted in the demo log with grep
		"Orrick Firm, 10 tests: another firm HA gel, same needle",
		"Pellow Contour, 7 tests: another firm HA gel, same needle",
		"Dunmere Deep, 2 tests: another firm HA gel, same needle",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
	e = must(g.Evidence(t.Context(), trade.Combination{Product: trade.Product{Name: "Brand New"},
		Instrument: needle(33, 4)}, 0))(t)
	if len(e.Nearest) != 0 || e.Tested || e.Forecast == nil {
		t.Errorf("got %+v", e.Nearest)
	}
}

func TestWhyANeighbourIsNear(t *testing.T) {
	gel, other := trade.Product{ID: 1, Class: calc.FineHA}, trade.Product{ID: 2, Class: calc.FineHA}
	plain := trade.Syringe{ID: 1, Name: trade.Supplied}
	asked := trade.Combination{Product: gel, Instrument: trade.Instrument{ID: 1, Kind: trade.Needle, Gauge: 30,
		LengthMM: 13, Wall: calc.Thin}, Syringe: plain}
	for want, near := range map[string]trade.Combination{
		"same gel, same length, one gauge wider": {Product: gel,
			Instrument: trade.Instrument{ID: 2, Kind: trade.Needle, Gauge: 29, LengthMM: 13}, Syringe: plain},
		"same gel, 0.3 mm shorter, one gauge finer": {Product: gel,
			Instrument: trade.Instrument{ID: 2, Kind: trade.Needle, Gauge: 31, LengthMM: 12.7}, Syringe: plain},
		"same gel, a cannula, 25 mm longer, five gauges wider": {Product: gel,
			Instrument: trade.Instrument{ID: 2, Kind: trade.Cannula, Gauge: 25, LengthMM: 38}, Syringe: plain},
		"same gel, same length, wider bore": {Product: gel,
			Instrument: trade.Instrument{ID: 2, Kind: trade.Needle, Gauge: 30, LengthMM: 13, Wall: calc.UltraThin},
			Syringe:    plain},
		"same gel, same length, finer bore": {Product: gel,
			Instrument: trade.Instrument{ID: 2, Kind: trade.Needle, Gauge: 28, LengthMM: 13, Wall: calc.Regular},
			Syringe:    plain},
		"same gel, same needle, fixed-needle 0.3 mL syringe": {Product: gel, Instrument: asked.Instrument,
			Syringe: trade.Syringe{ID: 2, Name: "fixed-needle 0.3 mL"}},
		"another fine HA gel, same needle": {Product: other, Instrument: asked.Instrument,
			Syringe: plain},
	} {
		if got := why(near, asked); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestEvidenceHandedOutIsTheCallersOwn(t *testing.T) {
	g := small(t, openStore(t), "local")
	must(g.LogTest(t.Context(), shown(2)))(t)
	for test := range must(g.Evidence(t.Context(), orrickOn27(), 0))(t).Tests.All() {
		test.Seconds, test.TestedOn = 99, "scribbled"
	}
	for again := range must(g.Evidence(t.Context(), orrickOn27(), 0))(t).Tests.All() {
		if again.Seconds != 2 || again.TestedOn == "scribbled" {
			t.Errorf("got %+v", again)
		}
	}
}

// Whatever the combination, tested or not, the tests and testers of its whole
// product are counted, and a withdrawn test is not.
func TestEvidenceCountsTheTestersOfTheProduct(t *testing.T) {
	g, ctx := small(t, openStore(t), "local"), t.Context()
	other := orrickOn27()
	other.Instrument = needle(30, 8)
	counted := func() string {
		a, b := must(g.Evidence(ctx, orrickOn27(), 0))(t), must(g.Evidence(ctx, other, 0))(t)
		return fmt.Sprint(a.ProductTests, a.ProductTesters, b.ProductTests, b.ProductTesters)
	}
	if got := counted(); got != "0 0 0 0" {
		t.Errorf("no tests: %s", got)
	}
	must(g.LogTest(ctx, shown(2)))(t)
	must(g.LogTest(ctx, shown(3)))(t)
	if got := counted(); got != "2 1 2 1" {
		t.Errorf("one tester: %s", got)
	}
	second := shown(2.5)
	second.Tester = must(g.Admit(ctx, Member{Ref: "second hand"}))(t)
	last := must(g.LogTest(ctx, second))(t)
	if got := counted(); got != "3 2 3 2" {
		t.Errorf("two testers: %s", got)
	}
	must(g.WithdrawTest(ctx, last.ID, second.Tester, "wrong box"))(t)
	if got := counted(); got != "2 1 2 1" {
		t.Errorf("one of them withdrawn: %s", got)
	}
}

// The instrument's own hub goes into what half the length would be; the gauge and
// wall into which are wider.
func TestWhyTakesTheInstrumentAsRecorded(t *testing.T) {
	g, ctx := small(t, openStore(t), "local"), t.Context()
	must(g.LogTest(ctx, shown(2)))(t)
	e := must(g.Evidence(ctx, orrickOn27(), 0))(t)
	half := func(p *calc.Pace) calc.Length {
		for _, c := range p.Changes {
			if c.Kind == calc.HalfLength {
				return c.Setup.Tube.Length
			}
		}
		return 0
	}
	if got := half(must(e.Why(20))(t)).Millimetres(); math.Abs(got-11.5) > 1e-9 { // 5 + 13/2
		t.Errorf("half of 13 mm with 5 mm in the hub: %g mm", got)
	}
	i := must(g.Instrument(ctx, "27G 13 mm needle"))(t)
	i.HubMM = 9
	must(g.UpdateInstrument(ctx, i))(t)
	e = must(g.Evidence(ctx, orrickOn27(), 0))(t)
	if got := half(must(e.Why(20))(t)).Millimetres(); math.Abs(got-15.5) > 1e-9 {
		t.Errorf("with 9 mm in the hub: %g mm", got)
	}
	var outside *calc.RangeError
	if _, err := e.Why(60); !errors.As(err, &outside) {
		t.Errorf("milk at 60 °C: %v", err)
	}
}
