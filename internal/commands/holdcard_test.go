package commands

import (
	"context"
	"math"
	"regexp"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

var (
	saysHold       = regexp.MustCompile(`(?i)hold \d+ s`)
	verdictCapital = regexp.MustCompile(`HOLD`)
)

// Whatever the combination: an untested answer is told from a tested one by its
// first line and by every line after it, and only a combination whose tests carry one
// gets a hold.
func TestUntestedNeverPassesForTested(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	v, err := env.Group.Vocabulary(ctx)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for _, p := range v.Products {
		for _, i := range v.Instruments {
			for _, s := range v.Syringes[:2] {
				e, err := env.Group.Evidence(ctx, trade.Combination{Product: p, Instrument: i, Syringe: s},
					calc.DefaultPull)
				if err != nil {
					t.Fatal(err)
				}
				c := holdCard(e, newOutlook(e, 0), viewer{})
				f := c.Figures.(answered)
				checkState(t, e, c, f)
				seen[string(e.State)]++
			}
		}
	}
	for _, state := range []calc.State{calc.StateUntested, calc.StateHold, calc.StateNotExpected,
		calc.StateNotSureEnough, calc.StateNotSettled, calc.StateTooFewTests} {
		if seen[string(state)] == 0 {
			t.Errorf("the demo has none that is %s: %v", state, seen)
		}
	}
}

func checkState(t *testing.T, e *knowledge.Evidence, c Card, f answered) {
	t.Helper()
	text := c.Text()
	if e.Tested != (f.State == stateTested) || strings.HasPrefix(text, "UNTESTED  ") == e.Tested {
		t.Errorf("tested %t, state %s, text\n%s", e.Tested, f.State, text)
	}
	if !e.Tested && (verdictCapital.MatchString(text) || saysHold.MatchString(text)) {
		t.Errorf("an untested answer looks tested:\n%s", text)
	}
	advised := e.State == calc.StateHold
	if saysHold.MatchString(text) != advised || (f.HoldS != nil) != advised || (f.NoHold == nil) != advised {
		t.Errorf("%s, tested %t: hold %v in\n%s", e.State, e.Tested, f.HoldS, text)
	}
	if strings.Contains(text, "enough") || strings.Contains(text, "safe") || strings.ContainsAny(text, "%δθτσ") {
		t.Errorf("a word that has no place here:\n%s", text)
	}
}

// madeTests are tests by two hands in turn, that showed at these seconds, +Inf for none in a minute.
func madeTests(seconds ...float64) []knowledge.BenchTest {
	tests := make([]knowledge.BenchTest, len(seconds))
	for i, s := range seconds {
		tests[i] = knowledge.BenchTest{Tester: knowledge.Member{ID: int64(1 + i%2),
			Ref: [...]string{"osier", "lantern"}[i%2]}, TestedOn: "2026-05-01", PullML: 0.1, WatchedS: 60,
			Timing: "video 30 fps", Outcome: knowledge.Flashback, Seconds: s}
		if math.IsInf(s, 1) {
			tests[i].Outcome, tests[i].Seconds = knowledge.None, 0
		}
	}
	return tests
}

func listed(t *testing.T, tests ...knowledge.BenchTest) knowledge.TestList {
	t.Helper()
	list, err := knowledge.ListOf(tests...)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// madeEvidence is a combination with tests that showed at these seconds, timed
// by film at the usual pull; math.Inf(1) stands for none in 60 s.
func madeEvidence(t *testing.T, class calc.GelClass, ceiling calc.Seconds, target float64,
	seconds ...float64) *knowledge.Evidence {
	t.Helper()
	e := &knowledge.Evidence{
		Combination: trade.Combination{
			Product:    trade.Product{ID: 1, Name: "Alder One", Class: class},
			Instrument: trade.Instrument{ID: 1, Kind: trade.Needle, Gauge: 30, LengthMM: 13, Wall: calc.Thin},
		},
		Ceiling: ceiling, Target: target, Pull: calc.DefaultPull, Tested: true, Surprise: 1, Holders: 1,
	}
	setup, _, err := e.Combination.Setup()
	if err != nil {
		t.Fatal(err)
	}
	e.Setup = setup
	tested := calc.TestedSetup{Setup: setup}
	e.Rule = calc.HoldRule{Ceiling: ceiling, Target: target, LeastTests: knowledge.DefaultLeastTests,
		LeastMembers: knowledge.DefaultLeastMembers}
	record := calc.SetupRecord{}
	tests := madeTests(seconds...)
	e.Tests = listed(t, tests...)
	for i, s := range seconds {
		test := tests[i]
		if test.Outcome == knowledge.None {
			e.Counts.None++
		} else if s <= float64(ceiling) {
			e.Counts.ShownByCeiling++
		} else {
			e.Counts.ShownLater++
		}
		e.Counts.Longest = max(e.Counts.Longest, test.Seconds)
		trial, err := test.Trial()
		if err != nil {
			t.Fatal(err)
		}
		tested.Trials = append(tested.Trials, trial)
		record.Tests = append(record.Tests, calc.RecordedTest{Trial: trial})
		e.Counts.Run++
	}
	e.Counts.Testers = 2
	estimate, err := calc.Fit(class, []calc.TestedSetup{tested}, calc.DefaultSpread())
	if err != nil {
		t.Fatal(err)
	}
	if e.Forecast, err = estimate.Forecast(setup, e.Pull); err != nil {
		t.Fatal(err)
	}
	e.Verdict = e.Forecast.Verdict(ceiling)
	e.Advice = e.Forecast.Advise(e.Rule, record)
	e.State = e.Advice.State()
	return e
}

// A hold that would lie over the ceiling, or that no second reaches, is none.
func TestNoHoldBeyondWhatTheRuleAllows(t *testing.T) {
	for what, e := range map[string]*knowledge.Evidence{
		"a target of 99 in 100": madeEvidence(t, calc.SoftHA, 10, 0.99, 3.1, 3.4, 2.9, 3.3, 3.2, 3.0),
		"a target of all":       madeEvidence(t, calc.SoftHA, 10, 1, 3.1, 3.4, 2.9, 3.3, 3.2, 3.0),
	} {
		c := holdCard(e, newOutlook(e, 0), viewer{})
		if e.Verdict != calc.ShowsInTime || e.State != calc.StateNotSureEnough ||
			!strings.HasPrefix(c.Verdict, "NO HOLD: not sure that ") &&
				!strings.HasPrefix(c.Verdict, "NO HOLD: of 6 tests at this pull 6 ") {
			t.Errorf("%s: %s, headed %q", what, e.Verdict, c.Verdict)
		}
		if f := c.Figures.(answered); f.HoldS != nil || f.NoHold == nil || *f.NoHold != calc.NotSureEnough {
			t.Errorf("%s: hold_s %v, no_hold %v", what, f.HoldS, f.NoHold)
		}
	}
}

// Each state has its own first line; the figures of a program say the same.
func TestEveryStateSaysWhy(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		want    calc.State
		ceiling calc.Seconds
		seconds []float64
		words   string
	}{
		{calc.StateHold, 10, []float64{3.1, 3.4, 2.9, 3.2, 3.3, 3.0}, "HOLD "},
		{calc.StateTooFewTests, 10, []float64{3.1, 3.4}, "NO HOLD: too few tests (2 of 3); needs 1 more test"},
		{calc.StateTooSlow, 10, []float64{24, 25, 23, 24.5, 26, 23.5, 24, 25},
			"NO HOLD: too slow, few show by 10 s, half or more by 30 s"},
		{calc.StateNotExpected, 10, []float64{inf, inf, inf, inf, inf, inf},
			"NO HOLD: waiting does not help, few show by 10 s"},
		{calc.StateNotSettled, 10, []float64{9, 14, 11}, "NO HOLD: the tests leave open how many show by 10 s"},
	} {
		e := madeEvidence(t, calc.MediumHA, c.ceiling, 0.9, c.seconds...)
		if e.State != c.want {
			t.Errorf("%v at %g s: %s, want %s", c.seconds, float64(c.ceiling), e.State, c.want)
			continue
		}
		card := holdCard(e, newOutlook(e, 0), viewer{})
		if !strings.HasPrefix(card.Verdict, c.words) {
			t.Errorf("%s is headed %q, want %q", e.State, card.Verdict, c.words)
		}
		wants(t, card.Facts[0].Text, "at 0.1 mL pull · ")
		if f := card.Figures.(answered); (f.HoldS == nil) == (c.want == calc.StateHold) ||
			f.Evidence.Tests != e.Advice.Tests || f.Evidence.NeededTests != 3 {
			t.Errorf("%s: %+v", e.State, f)
		}
	}
}

// Own tests are told apart, old ones said.
func TestOwnAndOldTestsAreNamed(t *testing.T) {
	e := madeEvidence(t, calc.SoftHA, 10, 0.9, 3.1, 3.4, 2.9, math.Inf(1))
	for _, c := range []struct {
		v    viewer
		want []string
		not  string
	}{
		{viewer{"osier", "2026-11-25"}, []string{"Yours: 2 tests, all shown by 3.1 s"}, "not since"},
		{viewer{"lantern", "2027-11-25"}, []string{"Yours: 2 tests, 1 shown by 3.4 s, 1 none",
			"Tested on 2026-05-01, and not since."}, "!"},
		{viewer{"quayside", "2026-11-25"}, nil, "Yours"},
	} {
		text := holdCard(e, newOutlook(e, 0), c.v).Text()
		wants(t, text, c.want...)
		if strings.Contains(text, c.not) {
			t.Errorf("%+v reads %q in\n%s", c.v, c.not, text)
		}
	}
	tests := madeTests(3.1, 3.4)
	tests[0].TestedOn = "2025-12-24"
	if got, want := oldTests(listed(t, tests...), "2027-06-01"), "Tested from 2025-12-24 to 2026-05-01, and not since."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestNotSettledSaysWhatWouldSettleIt(t *testing.T) {
	for _, seconds := range [][]float64{{9, 14, 11}, {2, 3, math.Inf(1)}, {0.3, 5, 0.4}} {
		e := madeEvidence(t, calc.MediumHA, 10, 0.9, seconds...)
		if e.State != calc.StateNotSettled {
			continue
		}
		want := "More tests will not decide this."
		if more, ok := e.Forecast.MoreTests(10); ok {
			want = "About " + count(more, "more test") + " would likely settle it."
		}
		wants(t, holdCard(e, newOutlook(e, 0), viewer{}).Text(), want)
	}
}

func TestWarnings(t *testing.T) {
	e := madeEvidence(t, calc.SoftHA, 10, 0.9, 3.1, 3.4, 2.9)
	if w := holdCard(e, newOutlook(e, 0), viewer{}).Warnings; len(w) > 0 {
		t.Fatalf("warned of %q", w)
	}
	e.AssumedWall, e.Surprise, e.Pull = true, 0.009, 0.5*calc.Millilitre
	e.Flagged = listed(t, madeTests(40, math.Inf(1))...)
	want := []string{
		"40 s looks mistyped; 1 none does not fit the others. They count against a hold, hardly in the estimate.",
		"Tests and estimate disagree more than chance would: put the tests first.",
		"Nobody tested a pull of 0.5 mL: the estimate reaches beyond the tests.",
	}
	c := holdCard(e, newOutlook(e, 0), viewer{})
	if got := strings.Join(c.Warnings, "\n"); got != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", got, strings.Join(want, "\n"))
	}
	if f := c.Figures.(answered).with(c.Warnings, nil).(answered); len(f.Warnings) != len(want) {
		t.Errorf("the figures carry %d warnings", len(f.Warnings))
	}
}

// The share of the time that is due to blood, by the closed form, against the
// full model with falling suction: alike for a Newtonian gel, low by up to half
// for a shear-thinning one, as liquidShare says.
func TestLiquidShareAgainstTheFullModel(t *testing.T) {
	tube := calc.Tube{Bore: 0.165 * calc.Millimetre, Length: 9 * calc.Millimetre}
	draw := calc.Draw{Pull: calc.DefaultPull, Gas: calc.SuppliedGas}
	for _, gel := range []calc.Gel{{Consistency: 0.02, Index: 1}, {Consistency: 0.1, Index: 1},
		{Consistency: 3, Index: 0.55}, {Consistency: 12, Index: 0.45, Yield: 5}} {
		exit, err := calc.ExitTime(gel, tube, draw, calc.WholeBlood)
		if err != nil {
			t.Fatal(err)
		}
		e := &knowledge.Evidence{Setup: calc.Setup{Tube: tube, Gas: draw.Gas}, Pull: draw.Pull}
		got := liquidShare(e, outlook{half: float64(exit.Time)})
		if !(got >= 0.5*exit.LiquidShare && got <= 1.001*exit.LiquidShare) {
			t.Errorf("%+v: %.4f, the full model has %.4f", gel, got, exit.LiquidShare)
		}
	}
}

func TestThinGelIsWarnedOf(t *testing.T) {
	const words = "milk is no fair stand-in for blood"
	thin := madeEvidence(t, calc.UncrosslinkedHA, 10, 0.9, 0.03, 0.04, 0.03)
	if c := holdCard(thin, newOutlook(thin, 0), viewer{}); !strings.Contains(strings.Join(c.Warnings, "\n"), words) {
		t.Errorf("no warning of it: %q", c.Warnings)
	}
	firm := madeEvidence(t, calc.FirmHA, 10, 0.9, 5, 6, 7)
	if c := holdCard(firm, newOutlook(firm, 0), viewer{}); strings.Contains(strings.Join(c.Warnings, "\n"), words) {
		t.Errorf("warned of a firm gel: %q", c.Warnings)
	}
}

func TestFewTestsSentence(t *testing.T) {
	inf := math.Inf(1)
	cases := []struct {
		seconds []float64
		want    string
	}{
		{[]float64{2}, "One test only; the next may differ."},
		{[]float64{2, 3, 2}, "With 3 tests, all shown, up to 6 in 10 of the rest could still fail to show."},
		{[]float64{inf, inf}, "With 2 tests, none shown, up to 8 in 10 of the rest could still show."},
		{[]float64{2, 3, inf}, ""},
		{[]float64{2, 3, 12}, ""},
	}
	for _, c := range cases {
		if got := fewTests(madeEvidence(t, calc.SoftHA, 10, 0.9, c.seconds...)); got != c.want {
			t.Errorf("%v: %q, want %q", c.seconds, got, c.want)
		}
	}
}

func TestLoggingTwiceUnderOneKeyStoresOneTest(t *testing.T) {
	env := demoEnv(t)
	req := Typed(`/log product:"Orrick Mid" instrument:"30G 13 mm needle" seconds:7.1`, askingMember)
	req.Key = "interaction 1"
	first := Answer(context.Background(), env, req)
	again := Answer(context.Background(), env, req)
	if first.Verdict != again.Verdict || first.Refused || first.Failed {
		t.Errorf("%q, then %q", first.Text(), again.Text())
	}
}

func TestQuestionAfterALoggedTestSeesIt(t *testing.T) {
	env := demoEnv(t)
	before := says(t, env, askingMember, "dunmere deep 27g 13mm").Figures.(answered)
	card := says(t, env, askingMember, `/log product:"Dunmere Deep" instrument:"27G 13 mm needle" seconds:24`)
	if card.Refused || card.Failed {
		t.Fatal(card.Text())
	}
	after := says(t, env, askingMember, "dunmere deep 27g 13mm").Figures.(answered)
	if after.Tests.Run != before.Tests.Run+1 || after.Share.Mean <= before.Share.Mean {
		t.Errorf("before %+v, after %+v", before, after)
	}
}

// Whatever a log holds, the answer is words: no panic, no figure that is none.
func TestOddLogsAreAnsweredInWords(t *testing.T) {
	repeated := func(n int, seconds func(i int) float64) []float64 {
		all := make([]float64, n)
		for i := range all {
			all[i] = seconds(i)
		}
		return all
	}
	for scene, e := range map[string]*knowledge.Evidence{
		"a ceiling below every time": madeEvidence(t, calc.SoftHA, 1, 0.9, 3.1, 3.4, 2.9, 3.3),
		"a ceiling below a second":   madeEvidence(t, calc.UncrosslinkedHA, 0.5, 0.9, 0.1, 0.1, 0.1, 0.1),
		"a target of 99 in 100":      madeEvidence(t, calc.SoftHA, 10, 0.99, 3.1, 3.4, 2.9, 3.3),
		"a thousand nones": madeEvidence(t, calc.FirmHA, 10, 0.9,
			repeated(1000, func(int) float64 { return math.Inf(1) })...),
		"two hundred tests": madeEvidence(t, calc.SoftHA, 10, 0.9,
			repeated(200, func(i int) float64 { return 3 + float64(i%7)/10 })...),
	} {
		text := holdCard(e, newOutlook(e, 0), viewer{"osier", "2026-11-24"}).Text()
		if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") || !verdictCapital.MatchString(text) {
			t.Errorf("%s:\n%s", scene, text)
		}
		if hold := holdSeconds(e); hold != nil && (calc.Seconds(*hold) > e.Ceiling || e.Counts.None == e.Counts.Run) {
			t.Errorf("%s: hold %d s", scene, *hold)
		}
	}
}

// Where the group lets one member's tests carry a hold, each such answer says so.
func TestAHoldByOnePairOfHandsIsSaidToBe(t *testing.T) {
	env := demoEnv(t)
	says(t, env, askingTrainer, "/trainer settings members:1")
	for _, seconds := range []string{"0.6", "0.61", "0.59", "0.62"} { // the same twice is asked about
		if card := says(t, env, askingMember, `/log product:"Tamsel Fine" instrument:"27G 19 mm needle" seconds:`+seconds); card.Refused {
			t.Fatal(card.Text())
		}
	}
	text := says(t, env, askingMember, "tamsel fine 27G 19 mm").Text()
	wants(t, text, "\nHOLD ", "at 0.1 mL pull · 4 tests by 1 member", "All 4 tests are by one pair of hands; "+
		"another's may take longer.")
	says(t, env, askingTrainer, "/trainer settings members:2")
	wants(t, says(t, env, askingMember, "tamsel fine 27G 19 mm").Verdict, "NO HOLD: too few members (1 of 2); needs "+
		"1 more test by someone else")
}
