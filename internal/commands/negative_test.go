package commands

import (
	"math"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/commands/assumption"
	"holdbench/internal/knowledge"
)

func negativeOf(t *testing.T, e *knowledge.Evidence, typed string, hold calc.Seconds) negative {
	t.Helper()
	a, err := assumption.Read(typed)
	if err != nil {
		t.Fatal(err)
	}
	n, err := newNegative(e, a, hold)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// Whatever shows and whatever is assumed: the placements add up, tissue's part is
// left open, a test that tells nothing is said to change nothing, and nobody is
// told that none is left.
func TestNegativeNeverSaysThatNoneIsLeft(t *testing.T) {
	inf := math.Inf(1)
	for name, e := range map[string]*knowledge.Evidence{
		"at once":   madeEvidence(t, calc.UncrosslinkedHA, 10, 0.9, 0.03, 0.04, 0.03, 0.05, 0.04),
		"in time":   madeEvidence(t, calc.SoftHA, 10, 0.9, 2, 3, 2, 4),
		"sometimes": madeEvidence(t, calc.MediumHA, 10, 0.9, 6, 12, 9, 15, 11),
		"never":     madeEvidence(t, calc.CaHAPaste, 10, 0.9, inf, inf, inf, inf),
		"untested":  madeEvidence(t, calc.FirmHA, 10, 0.9),
	} {
		e.Tested = e.Tests.Len() > 0
		for _, typed := range []string{"1 in 2", "1 in 200", "1 in 30 000", "90 %", "1 in 1 000 000"} {
			for _, hold := range []calc.Seconds{0, 0.1, 5, 600} {
				n := negativeOf(t, e, typed, hold)
				if n.best.Shown+n.best.Hidden != n.best.InVessel || n.best.InVessel < 20 {
					t.Errorf("%s, %s by %g s: %+v", name, typed, hold, n.best)
				}
				if n.best.ChanceInVessel <= 0 || n.high.ChanceInVessel <= 0 ||
					n.high.ChanceInVessel > n.low.ChanceInVessel {
					t.Errorf("%s, %s by %g s: chance %g, limits %g to %g", name, typed, hold, n.best.ChanceInVessel,
						n.high.ChanceInVessel, n.low.ChanceInVessel)
				}
				text := negativeCard(n).Text()
				if strings.Contains(text, " 0 do not") || strings.Contains(text, " 0 would not") ||
					strings.HasPrefix(text, "UNTESTED  ") == e.Tested {
					t.Errorf("%s, %s by %g s:\n%s", name, typed, hold, text)
				}
				if unusable := strings.Contains(text, "No hold is usable here, so a negative tells little."); unusable == (e.State == calc.StateHold) ||
					unusable && strings.Contains(text, " leaves 1 in") {
					t.Errorf("%s is %s, %s by %g s:\n%s", name, e.State, typed, hold, text)
				}
				if tells := !strings.Contains(text, "The test changes nothing"); tells != (n.outlook.byAsked.Mean >= tooFewShow) {
					t.Errorf("%s, %s by %g s: %.3f show:\n%s", name, typed, hold, n.outlook.byAsked.Mean, text)
				}
			}
		}
	}
}

func TestMostTakenIsWhatTheTestsNamedCarry(t *testing.T) {
	if n, err := calc.SuccessRun(mostTaken, 0.95); err != nil || n != testsForMost {
		t.Errorf("%d tests, %v; %d are said", n, err, testsForMost)
	}
}

// By hand, as in calc: 9 in 10 of 50 in 10 000.
func TestNegativeInWords(t *testing.T) {
	e := madeEvidence(t, calc.SoftHA, 10, 0.9, 2, 3, 2, 4)
	n := negativeOf(t, e, "1 in 200", 5)
	n.outlook.byAsked = calc.Share{By: 5, Mean: 0.9, Low: 0.8, High: 0.96}
	for into, s := range map[*calc.NoFlashback]float64{&n.best: 0.9, &n.low: 0.8, &n.high: 0.96} {
		var err error
		if *into, err = calc.AfterNoFlashback(10_000, 0.005, s); err != nil {
			t.Fatal(err)
		}
	}
	card := negativeCard(n)
	if card.Verdict != "No flashback in 5 s leaves 1 in 1990 in a vessel at best; it was 1 in 200." {
		t.Errorf("%q", card.Verdict)
	}
	wants(t, card.Text(), "Of 10 000 placements: 50 in a vessel, as you assume; by 5 s 45 show, 5 do\n    not (range "+
		"40 to 48 show)",
		"1 in 1990 at best (range 1 in 996 to 1 in\n    4980)", "The bench is the best case",
		"Every flashback is taken as true", "4 of 4 shown by 5 s: 4 in 10 to more than 19 in 20, 19")
}

// The tests alone: of four that showed and one watched for less than the hold, the
// short one tells nothing. Exact limits of 4 of 4 at 95 %: 0.025^(1/4) = 0.3976 (by
// hand), so 1 in 200 stays at 1 in 331 at worst: 0.6024 / (0.6024 + 199) = 1 in 331.4.
func TestNegativeByTheTestsAlone(t *testing.T) {
	e := madeEvidence(t, calc.SoftHA, 10, 0.9, 2, 3, 2, 4)
	short := knowledge.BenchTest{Outcome: knowledge.None, WatchedS: 3, PullML: 0.1}
	e.Tests = listed(t, append(madeTests(2, 3, 2, 4), short)...)
	n := negativeOf(t, e, "1 in 200", 5)
	if n.alone.shown.N != 4 || n.alone.shown.Events != 4 || n.alone.low != 0 || math.Abs(1/n.alone.high-331.4) > 0.1 {
		t.Errorf("%+v, 1 in %g", n.alone, 1/n.alone.high)
	}
	e.Tests = listed(t, append(madeTests(2, 3, 2, 4), short,
		knowledge.BenchTest{Outcome: knowledge.None, WatchedS: 30, PullML: 0.1},
		knowledge.BenchTest{Outcome: knowledge.Flashback, Seconds: 5.1, WatchedS: 4, PullML: 0.1, Timing: "stopwatch"})...)
	if n := negativeOf(t, e, "1 in 200", 5); n.alone.shown.N != 6 || n.alone.shown.Events != 4 {
		t.Errorf("%+v", n.alone.shown)
	}
	e.Tests = knowledge.TestList{}
	if n := negativeOf(t, e, "1 in 200", 5); n.alone != nil {
		t.Errorf("no tests: %+v", n.alone)
	}
}

func TestHoldOfANegative(t *testing.T) {
	shows, slow := madeEvidence(t, calc.SoftHA, 10, 0.9, 2, 3, 2, 4), madeEvidence(t, calc.MediumHA, 10, 0.9, 6, 12, 9,
		15, 11)
	advised := holdSeconds(shows)
	if advised == nil {
		t.Fatal("no hold is advised")
	}
	for _, c := range []struct {
		e     *knowledge.Evidence
		asked calc.Seconds
		want  calc.Seconds
		from  string
	}{{shows, 0, calc.Seconds(*advised), "the hold advised"}, {shows, 7.5, 7.5, asAsked},
		{slow, 0, 10, "the group's ceiling, as no hold is advised"}} {
		if n := negativeOf(t, c.e, "1 in 200", c.asked); n.hold != c.want || n.from != c.from ||
			n.outlook.byAsked.By != c.want {
			t.Errorf("asked %g: %g s, %s, share by %g s", c.asked, n.hold, n.from, n.outlook.byAsked.By)
		}
	}
}

// Plain lines that ask what a negative means reach the command; what asks about a
// hold does not.
func TestWhoeverAsksWhatANegativeMeans(t *testing.T) {
	for line, want := range map[string]string{
		"what does a negative mean for orrick mid 30g 13mm, 1 in 200":                 "orrick mid 30g 13mm, 1 in 200",
		"What does a negative aspiration mean with Orrick Mid 30G 13 mm at 1 in 200?": "Orrick Mid 30G 13 mm at 1 in 200",
		"so what does no flashback tell us: orrick mid 27g 13mm, 0.5 %":               "orrick mid 27g 13mm, 0.5 %",
		"how much is a negative worth on orrick mid 27g 13mm if 1 in 50":              "orrick mid 27g 13mm if 1 in 50",
		"what would my negative test mean?":                                           "",
		"what does a negative mean":                                                   "",
	} {
		if got := Typed(line, askingMember); got.Command != negativeName || got.Text != want {
			t.Errorf("%q: /%s %q", line, got.Command, got.Text)
		}
	}
	for _, line := range []string{
		"hold time for orrick mid 30g 13mm", "negative aspiration, orrick mid 30g 13mm?",
		"what is the hold for orrick mid 30g, by no flashback I mean none",
		"what about tamsel soft 27g 13mm, 1 in 200", "orrick mid 30g 13mm: what does a negative mean",
	} {
		if got := Typed(line, askingMember); got.Command != holdName || got.Text != line {
			t.Errorf("%q: /%s %q", line, got.Command, got.Text)
		}
	}
	for _, line := range []string{"negative orrick mid 30g 13mm, 1 in 200", `Negative: assumed:"1 in 200" orrick mid 30g`, "negative"} {
		if got := Typed(line, askingMember); got.Command != negativeName || !got.Typed {
			t.Errorf("%q: %+v", line, got)
		}
	}
	env := demoEnv(t)
	asked := says(t, env, askingMember, "what does a negative mean for orrick mid 30g 13mm, 1 in 200").Text()
	if typed := says(t, env, askingMember, `/explain negative assumed:"1 in 200" product:"Orrick Mid" instrument:"30G 13 mm needle"`).Text(); asked != typed {
		t.Errorf("%s\n%s", asked, typed)
	}
}

// A choice picked on the way keeps the assumption and the working year.
func TestChoicesOfANegativeKeepWhatWasSaid(t *testing.T) {
	env := demoEnv(t)
	card := says(t, env, askingMember, "/explain negative orrick mid 30g, 1 in 300, 6 s placements:8 days:150")
	if len(card.Choices) == 0 {
		t.Fatal(card.Text())
	}
	v := card.Choices[0].Request.Values
	if v[assumedOption] != "1 in 300" || v[placementsOption] != "8" || v[daysOption] != "150" || v["seconds"] != "6" {
		t.Errorf("%v", v)
	}
}

// 8 s × 10 × 200 / 3600 = 4.44 h; over two combinations, held for 8 s and for the
// ceiling of 10 s, five placements a day each: 2.22 + 2.78 = 5 h (by hand).
func TestWorkYear(t *testing.T) {
	for hours, want := range map[float64]string{0: "0 minutes", 0.0167: "1 minute", 0.5: "30 minutes",
		0.949: "57 minutes", 1: "1 hour", 2.78: "2.8 hours", 9.94: "9.9 hours", 12.4: "12 hours"} {
		if got := hoursWords(hours); got != want {
			t.Errorf("%g: %q, want %q", hours, got, want)
		}
	}
	env := demoEnv(t)
	lone := Asker{Ref: "greywater", Name: "greywater", Role: knowledge.MemberRole}
	held, err := env.Group.Stock(t.Context(), knowledge.StockFilter{})
	if err != nil {
		t.Fatal(err)
	}
	for _, item := range held {
		if item.Member.Ref == lone.Ref {
			if err := env.Group.RemoveStock(t.Context(), item.ID); err != nil {
				t.Fatal(err)
			}
		}
	}
	f := says(t, env, lone, "/explain negative tamsel soft 30G 13 mm, 1 in 200")
	if got := f.Figures.(negativeAnswer); strings.Contains(f.Text(), "stock") || got.StockHours != nil {
		t.Errorf("nobody told of a working year: %+v\n%s", got, f.Text())
	}
	f = says(t, env, lone, "/explain negative tamsel soft 30G 13 mm, 1 in 200 placements:10")
	// 61 are on record
	wants(t, f.Text(), "Over what the group stocks:", "over 40 combinations, those that most members hold")
	if got := f.Figures.(negativeAnswer).Hours; math.Abs(got-4.444) > 1e-3 {
		t.Errorf("%g hours, want 4.444", got)
	}
	for _, line := range []string{"/stock add Tamsel Soft 30G 13 mm", "/stock add Orrick Mid 30G 13 mm"} {
		if card := says(t, env, lone, line); card.Refused {
			t.Fatal(card.Text())
		}
	}
	f = says(t, env, lone, "/explain negative tamsel soft 30G 13 mm, 1 in 200 days:200")
	wants(t, f.Text(), "Over what you stock: 5 hours a year, the placements spread evenly over",
		"none of it where nothing is")
	if got := f.Figures.(negativeAnswer); math.Abs(*got.StockHours-5) > 1e-3 || *got.ForNothing != 0 {
		t.Errorf("%+v", got)
	}
	says(t, env, lone, "/stock add Hesk Paste 31G 8 mm")
	// 6 s everywhere: 3.33 h, a third of it for nothing
	f = says(t, env, lone, "/explain negative orrick mid 27G 13 mm, 1 in 200 seconds:6 placements:10")
	if got := f.Figures.(negativeAnswer); math.Abs(*got.StockHours-3.333) > 1e-3 ||
		math.Abs(*got.ForNothing-1.111) > 1e-3 {
		t.Errorf("%+v", got)
	}
}
