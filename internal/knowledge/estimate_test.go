package knowledge

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// asShown says how likely it is that tests of the evidence's combination show by
// a few times, as an answer would.
func asShown(e *Evidence) string {
	return fmt.Sprint(e.Forecast.Share(1), e.Forecast.Share(10), e.Forecast.Share(30), e.Verdict)
}

// fromScratch computes the same from the log alone, by another way through the
// code: every kept test is read and fitted here.
func fromScratch(t testing.TB, g *Group, e *Evidence) string {
	t.Helper()
	at := make(map[calc.Setup]int)
	var tested []calc.TestedSetup
	for _, test := range must(g.Tests(t.Context(), TestFilter{ProductID: e.Combination.Product.ID, State: Kept}))(t) {
		setup, _, err := test.Combination.Setup()
		if err != nil {
			t.Fatal(err)
		}
		if _, seen := at[setup]; !seen {
			at[setup] = len(tested)
			tested = append(tested, calc.TestedSetup{Setup: setup})
		}
		n := at[setup]
		tested[n].Trials = append(tested[n].Trials, must(test.Trial())(t))
	}
	class := must(g.Product(t.Context(), e.Combination.Product.Name))(t).Class
	setup, _, err := e.Combination.Setup()
	if err != nil {
		t.Fatal(err)
	}
	f := must(must(calc.Fit(class, tested, calc.DefaultSpread()))(t).Forecast(setup, e.Pull))(t)
	return fmt.Sprint(f.Share(1), f.Share(10), f.Share(30), f.Verdict(e.Ceiling))
}

func TestAnAnswerIsNeverStale(t *testing.T) {
	g := small(t, openStore(t), "local")
	trainer := must(g.Member(t.Context(), "lantern"))(t)
	var last BenchTest
	runs := 0
	seen := make(map[string]string)
	check := func(scene string, wantRuns int) {
		t.Helper()
		e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
		got := asShown(e)
		if want := fromScratch(t, g, e); got != want {
			t.Errorf("%s: got %s, want %s", scene, got, want)
		}
		if e.Counts.Run != wantRuns || e.ClassTests != wantRuns && e.Combination.Product.Class == calc.MediumHA {
			t.Errorf("%s: %d tests counted, %d in the class, want %d", scene, e.Counts.Run, e.ClassTests, wantRuns)
		}
		if before, again := seen[got]; again {
			t.Errorf("%s: the answer is the same as after %s", scene, before)
		}
		seen[got] = scene
	}
	check("nothing", 0)
	for _, seconds := range []float64{2.1, 2.9, 25} {
		last = must(g.LogTest(t.Context(), shown(seconds)))(t)
		runs++
		check(fmt.Sprintf("logging %v s", seconds), runs)
	}
	must(g.WithdrawTest(t.Context(), last.ID, trainer, "stopper stuck"))(t)
	if e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t); e.Counts.Run != 2 || asShown(e) != fromScratch(t, g, e) {
		t.Errorf("after withdrawing: %+v", e.Counts)
	}
	must(g.RestoreTest(t.Context(), last.ID, trainer, "it was not"))(t)
	if e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t); e.Counts.Run != 3 || asShown(e) != fromScratch(t, g, e) {
		t.Errorf("after restoring: %+v", e.Counts)
	}
	must(g.CorrectTest(t.Context(), last.ID, shown(2.5), trainer, "decimal point"))(t)
	check("correcting", 3)
	i := must(g.Instrument(t.Context(), "27G 13 mm needle"))(t)
	i.BoreMM = 0.26
	must(g.UpdateInstrument(t.Context(), i))(t)
	check("measuring the bore", 3)
	p := must(g.Product(t.Context(), "Orrick Mid"))(t)
	p.Class = calc.SoftHA
	must(g.UpdateProduct(t.Context(), p))(t)
	check("changing the class", 3)
}

func TestAnAnswerSeesTheNameAsItIsNow(t *testing.T) {
	g := small(t, openStore(t), "local")
	must(g.LogTest(t.Context(), shown(2)))(t)
	must(g.Admit(t.Context(), Member{Ref: "osier", Name: "Osier of the marsh"}))(t)
	latest := must(g.Evidence(t.Context(), orrickOn27(), 0))(t).Tests.Latest(0, 1)
	test := must(g.Tests(t.Context(), TestFilter{IDs: latest}))(t)[0]
	if test.Tester.Name != "Osier of the marsh" {
		t.Errorf("got %+v", test.Tester)
	}
}

func TestAnOldEstimateLeftByACrashIsComputedAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bench.db")
	s := must(Open(t.Context(), at(t, path), WithClock(stoppedClock), WithPatience(time.Hour)))(t)
	g := small(t, s, "local")
	must(g.LogTest(t.Context(), shown(2)))(t)
	err := s.inTx(t.Context(), func(q querier) error { // the test is stored, then nothing more happens
		_, err := g.logTest(t.Context(), q, shown(25))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = openAt(t, path)
	g = must(s.Group(t.Context(), "local"))(t)
	var kept, log int
	err = s.look().Row(t.Context(), `
		SELECT e.log_version, p.log_version FROM estimates e JOIN products p ON p.id = e.product_id`).Scan(&kept, &log)
	if err != nil || kept >= log {
		t.Fatalf("no old estimate was left: %d of %d, %v", kept, log, err)
	}
	e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
	if e.Counts.Run != 2 || asShown(e) != fromScratch(t, g, e) {
		t.Errorf("%d tests, %s", e.Counts.Run, asShown(e))
	}
}

func TestAnEstimateThatCannotBeUsedIsComputedAgain(t *testing.T) {
	damages := map[string]func(q uncheckedStore) (int64, error){
		"made by another computation": func(q uncheckedStore) (int64, error) {
			return q.Exec(t.Context(), `UPDATE estimates SET model = model + 1`)
		},
		"unreadable": func(q uncheckedStore) (int64, error) {
			return q.Exec(t.Context(), `UPDATE estimates SET estimate = ?`, []byte{0, 1, 2, 3})
		},
		"gone": func(q uncheckedStore) (int64, error) { return q.Exec(t.Context(), `DELETE FROM estimates`) },
	}
	for scene, damage := range damages {
		path := filepath.Join(t.TempDir(), "bench.db")
		s := must(Open(t.Context(), at(t, path), WithClock(stoppedClock), WithPatience(time.Hour)))(t)
		must(small(t, s, "local").LogTest(t.Context(), shown(2)))(t)
		if n, err := damage(unchecked(s)); err != nil || n != 1 {
			t.Fatal(n, err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		s = openAt(t, path)
		g := must(s.Group(t.Context(), "local"))(t)
		e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
		if asShown(e) != fromScratch(t, g, e) {
			t.Errorf("%s: got %s", scene, asShown(e))
		}
	}
}

func TestAKeptEstimateAnswersAsTheComputedOneDid(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bench.db")
	s := must(Open(t.Context(), at(t, path), WithClock(stoppedClock), WithPatience(time.Hour)))(t)
	g := demo(t, s, "demo")
	before := make(map[string]string)
	for _, c := range must(g.Tested(t.Context()))(t) {
		before[c.Combination.String()] = describe(must(g.Evidence(t.Context(), c.Combination, 0))(t))
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = openAt(t, path)
	g = must(s.Group(t.Context(), "demo"))(t)
	for _, c := range must(g.Tested(t.Context()))(t) {
		if got := describe(must(g.Evidence(t.Context(), c.Combination, 0))(t)); got != before[c.Combination.String()] {
			t.Errorf("%s:\ngot  %s\nwant %s", c.Combination, got, before[c.Combination.String()])
		}
	}
}

// describe writes down everything an answer could show.
func describe(e *Evidence) string {
	c := e.Counts
	c.Curve = nil
	text := fmt.Sprintf("%s %s %v %+v %v %v %d/%d/%d", e.Combination, asShown(e), e.AssumedWall, c, e.Surprise,
		e.Target, e.Holders, e.SetupHolders, e.ClassTests)
	for _, n := range e.Nearest {
		text += fmt.Sprintf("; %s %d %s %s", n.Combination, n.Tests, n.State, n.Why)
	}
	for test := range e.Tests.All() {
		text += fmt.Sprintf("; %s %v %v", test.TestedOn, test.Seconds, test.Slip)
	}
	return text
}

func TestTheOrderOfTheLogDoesNotMatter(t *testing.T) {
	lines := bytes.Split(bytes.TrimSpace(demoFile(t, "tests")), []byte("\r\n"))
	forward := demo(t, openStore(t), "demo")
	backward := demo(t, openStore(t), "demo", "products", "instruments", "members", "stock")
	slices.Reverse(lines[1:])
	must(backward.Import(t.Context(), TestFile, RowsOf(bytes.NewReader(bytes.Join(lines, []byte("\n")))), Importing{}))(t)
	for _, c := range must(forward.Tested(t.Context()))(t) {
		there := trade.Combination{Product: trade.Product{Name: c.Combination.Product.Name},
			Instrument: c.Combination.Instrument, Syringe: trade.Syringe{Name: c.Combination.Syringe.Name}}
		there.Instrument.ID = 0
		a, b := must(forward.Evidence(t.Context(), c.Combination, 0))(t),
			must(backward.Evidence(t.Context(), there, 0))(t)
		if asShown(a) != asShown(b) || math.Abs(a.Surprise-b.Surprise) > 1e-12 {
			t.Errorf("%s: %s forward, %s backward", c.Combination, asShown(a), asShown(b))
		}
	}
}

func TestTwoNamesOfOneSetupShareAnEstimateAndNotTheirTests(t *testing.T) {
	g := small(t, openStore(t), "local")
	// 28G and 29G regular wall have the same bore: 0.133 mm. Source: ISO 9626:2016 (from memory).
	for gauge, seconds := range map[int]float64{28: 12, 29: 13} {
		test := shown(seconds)
		test.Combination.Instrument = trade.Instrument{Kind: trade.Needle, Gauge: gauge, LengthMM: 8,
			Wall: calc.Regular}
		must(g.LogTest(t.Context(), test))(t)
	}
	c := orrickOn27()
	c.Instrument = trade.Instrument{Kind: trade.Needle, Gauge: 28, LengthMM: 8, Wall: calc.Regular}
	e := must(g.Evidence(t.Context(), c, 0))(t)
	if e.Counts.Run != 1 || e.Counts.Longest != 12 {
		t.Errorf("got %+v", e.Counts)
	}
	if asShown(e) != fromScratch(t, g, e) {
		t.Errorf("got %s, want %s", asShown(e), fromScratch(t, g, e))
	}
	if len(e.Nearest) != 1 || e.Nearest[0].Why != "same gel, same length, same bore" {
		t.Errorf("got %+v", e.Nearest)
	}
}

func TestAFlaggedTestIsOneOfTheTestsAndOfTheList(t *testing.T) {
	g := small(t, openStore(t), "local")
	for _, seconds := range []float64{2.0, 2.1, 2.2, 2.1, 2.0, 2.3, 2.1, 2.2} {
		must(g.LogTest(t.Context(), shown(seconds)))(t)
	}
	odd := must(g.LogTest(t.Context(), shown(29)))(t)
	e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
	if e.Flagged.Len() != 1 || !e.Flagged.Has(odd.ID) || !(odd.Slip > flaggedAbove) {
		t.Errorf("flagged %v, slip %v", e.Flagged, odd.Slip)
	}
	if e.Tests.Len() != 9 || e.Counts.Run != 9 || e.Counts.Longest != 29 {
		t.Errorf("a flagged test was left out of the counts: %+v", e.Counts)
	}
	for _, test := range must(g.Tests(t.Context(), TestFilter{}))(t) {
		if (test.Slip > flaggedAbove) != (test.ID == odd.ID) {
			t.Errorf("test %d in the list has slip %v", test.ID, test.Slip)
		}
	}
}
