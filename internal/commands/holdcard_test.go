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
	verdictCapital = regexp.MustCompile(`SHOWS|TOO SLOW|NOT EXPECTED|NOT SETTLED`)
)

// Whatever the combination: an untested answer is told from a tested one by its
// first line and by every line after it, and only a tested combination that
// shows in time gets a hold.
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
				e, err := env.Group.Evidence(ctx, trade.Combination{Product: p, Instrument: i, Syringe: s}, calc.DefaultPull)
				if err != nil {
					t.Fatal(err)
				}
				c := holdCard(e, newOutlook(e, 0))
				f := c.Figures.(answered)
				checkState(t, e, c, f)
				seen[f.State+", "+f.Verdict]++
			}
		}
	}
	for _, state := range []string{"untested, shows in time", "untested, not expected", "untested, not settled",
		"tested, shows in time", "tested, not expected", "tested, shows sometimes", "tested, not settled"} {
		if seen[state] == 0 {
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
	advised := e.Tested && e.Verdict == calc.ShowsInTime
	if saysHold.MatchString(text) != advised || (f.HoldS != nil) != advised {
		t.Errorf("%s, tested %t: hold %v in\n%s", e.Verdict, e.Tested, f.HoldS, text)
	}
	if strings.Contains(text, "enough") || strings.Contains(text, "safe") || strings.ContainsAny(text, "%δθτσ") {
		t.Errorf("a word that has no place here:\n%s", text)
	}
}

// madeEvidence is a combination with tests that showed at these seconds, timed
// by film at the usual pull; math.Inf(1) stands for none in 60 s.
func madeEvidence(t *testing.T, class calc.GelClass, ceiling calc.Seconds, target float64, seconds ...float64) *knowledge.Evidence {
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
	for _, s := range seconds {
		test := knowledge.BenchTest{PullML: 0.1, WatchedS: 60, Timing: "video 30 fps", Outcome: knowledge.Flashback, Seconds: s}
		if math.IsInf(s, 1) {
			test.Outcome, test.Seconds = knowledge.None, 0
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
		e.Tests, tested.Trials = append(e.Tests, test), append(tested.Trials, trial)
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
	return e
}

func TestHoldOverTheCeilingIsSaidPlainly(t *testing.T) {
	e := madeEvidence(t, calc.SoftHA, 6, 0.99, 3.1, 3.4, 2.9, 3.3, 3.2, 3.0)
	if e.Verdict != calc.ShowsInTime {
		t.Fatalf("verdict %s", e.Verdict)
	}
	hold, ok := e.Forecast.Hold(0.99)
	if !ok || hold <= 6 {
		t.Fatalf("hold %d, %t: this scene needs one above 6 s", hold, ok)
	}
	c := holdCard(e, newOutlook(e, 0))
	wants(t, c.Verdict, "SHOWS IN TIME: hold", "over the group's ceiling of 6 s")
	if f := c.Figures.(answered); f.HoldS == nil || *f.HoldS != hold {
		t.Errorf("hold_s %v, want %d", f.HoldS, hold)
	}
}

func TestNoHoldReachesTheTarget(t *testing.T) {
	e := madeEvidence(t, calc.SoftHA, 10, 1, 3.1, 3.4, 2.9)
	c := holdCard(e, newOutlook(e, 0))
	wants(t, c.Verdict, "SHOWS IN TIME, but no hold")
	if c.Figures.(answered).HoldS != nil {
		t.Error("a hold all the same")
	}
}

func TestEveryVerdictSaysWhy(t *testing.T) {
	cases := []struct {
		want    calc.Verdict
		ceiling calc.Seconds
		seconds []float64
		words   string
	}{
		{calc.ShowsInTime, 10, []float64{3.1, 3.4, 2.9}, "hold 7 s"},
		{calc.TooSlow, 10, []float64{18, 19, 17, 18.5, 20, 17.5, 18, 19}, "few show by 10 s, half or more by 30 s"},
		{calc.NotExpected, 10, []float64{math.Inf(1), math.Inf(1), math.Inf(1), math.Inf(1)}, "few show by 10 s, not half by 30 s"},
		{calc.NotExpected, 40, []float64{math.Inf(1), math.Inf(1), math.Inf(1), math.Inf(1), math.Inf(1), math.Inf(1)}, "few show by 40 s"},
		{calc.NotSettled, 10, []float64{9, 14}, "the tests leave it open"},
	}
	for _, c := range cases {
		e := madeEvidence(t, calc.MediumHA, c.ceiling, 0.9, c.seconds...)
		if e.Verdict != c.want {
			t.Errorf("%v at %g s: %s, want %s", c.seconds, float64(c.ceiling), e.Verdict, c.want)
			continue
		}
		wants(t, holdCard(e, newOutlook(e, 0)).Verdict, strings.ToUpper(string(c.want)), c.words)
	}
}

func TestNotSettledSaysWhatWouldSettleIt(t *testing.T) {
	e := madeEvidence(t, calc.MediumHA, 10, 0.9, 9, 14)
	more, ok := e.Forecast.MoreTests(10)
	if !ok {
		t.Fatalf("this scene needs one that tests can settle")
	}
	wants(t, holdCard(e, newOutlook(e, 0)).Text(), "About "+count(more, "more test")+" would likely settle it.")
}

func TestWarnings(t *testing.T) {
	e := madeEvidence(t, calc.SoftHA, 10, 0.9, 3.1, 3.4, 2.9)
	if w := holdCard(e, newOutlook(e, 0)).Warnings; len(w) > 0 {
		t.Fatalf("warned of %q", w)
	}
	e.AssumedWall, e.Surprise, e.Holders, e.Pull = true, 0.009, 0, 0.5*calc.Millilitre
	e.Flagged = []knowledge.BenchTest{
		{Outcome: knowledge.Flashback, Seconds: 40, SecondsTyped: "40.0", TestedOn: "2026-05-05"},
		{Outcome: knowledge.None, WatchedS: 30, TestedOn: "2026-05-06"},
	}
	want := []string{
		"No wall class is on record for this needle: thin wall was assumed, another changes the figures.",
		"2 tests (40.0 s, 2026-05-05; none in 30 s, 2026-05-06) look like slips of the pen; they were given little weight.",
		"Tests and estimate disagree more than chance would (3 of 3 shown by 10 s): put the tests first.",
		"No test was made at a pull of 0.5 mL: the estimate reaches beyond the tests.",
		"Nobody in the group has Alder One in stock, as far as it is on record.",
	}
	c := holdCard(e, newOutlook(e, 0))
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
	for _, gel := range []calc.Gel{{Consistency: 0.02, Index: 1}, {Consistency: 0.1, Index: 1}, {Consistency: 3, Index: 0.55}, {Consistency: 12, Index: 0.45, Yield: 5}} {
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
	if c := holdCard(thin, newOutlook(thin, 0)); !strings.Contains(strings.Join(c.Warnings, "\n"), words) {
		t.Errorf("no warning of it: %q", c.Warnings)
	}
	firm := madeEvidence(t, calc.FirmHA, 10, 0.9, 5, 6, 7)
	if c := holdCard(firm, newOutlook(firm, 0)); strings.Contains(strings.Join(c.Warnings, "\n"), words) {
		t.Errorf("warned of a firm gel: %q", c.Warnings)
	}
}

func TestFewTestsSentence(t *testing.T) {
	inf := math.Inf(1)
	cases := []struct {
		seconds []float64
		want    string
	}{
		{[]float64{2}, "A single test says little: all but a few of the rest could still end the other way."},
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
