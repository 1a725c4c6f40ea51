package knowledge

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

func TestALoggedTestKeepsWhatWasTyped(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	test := shown(5.7)
	test.SecondsTyped, test.Timing, test.Note = " 5,70 s", "VIDEO 60FPS", "  clean hub "
	logged := must(g.LogTest(t.Context(), test))(t)
	got := must(g.Test(t.Context(), logged.ID))(t)
	if got.SecondsTyped != "5,70 s" || got.Seconds != 5.7 || got.Timing != "video 60 fps" || got.Note != "clean hub" {
		t.Errorf("got %+v", got)
	}
	if got.Tester.Name != "osier" || got.State != Kept || !got.LoggedAt.Equal(stopped) ||
		got.Combination.String() != "Orrick Mid, 27G 13 mm needle, supplied syringe" {
		t.Errorf("got %+v", got)
	}
	if got.Slip != logged.Slip {
		t.Errorf("slip %v stored, %v returned", got.Slip, logged.Slip)
	}
	untyped := must(g.LogTest(t.Context(), shown(6.25)))(t)
	if untyped.SecondsTyped != "6.25" {
		t.Errorf("got %q", untyped.SecondsTyped)
	}
}

func TestANewInstrumentOrSyringeComesOntoTheList(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	test := shown(1.1)
	test.Combination.Instrument = trade.Instrument{Kind: trade.Cannula, Gauge: 25, LengthMM: 38}
	test.Combination.Syringe = trade.Syringe{Name: "3 mL", VolumeML: 3}
	logged := must(g.LogTest(t.Context(), test))(t)
	again := must(g.LogTest(t.Context(), test))(t)
	if keyOf(logged.Combination) != keyOf(again.Combination) || logged.Combination.Instrument.ID == 0 ||
		logged.Combination.Syringe.ID == 0 {
		t.Errorf("got %+v and %+v", logged.Combination, again.Combination)
	}
	if i := must(g.Instrument(t.Context(), "25G 38 mm cannula"))(t); i.Wall != "" ||
		i.HubMM != calc.HubLength.Millimetres() {
		t.Errorf("got %+v", i)
	}
	test.Combination.Product = trade.Product{Name: "Nobody's Gel"}
	if _, err := g.LogTest(t.Context(), test); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
	test = shown(1)
	test.Tester = Member{Ref: "stranger"}
	if _, err := g.LogTest(t.Context(), test); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

func TestTheSameRequestTwiceIsOneTest(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	test := shown(5)
	test.RequestKey = "interaction 77"
	first := must(g.LogTest(t.Context(), test))(t)
	test.Seconds = 9 // whatever it says the second time
	second := must(g.LogTest(t.Context(), test))(t)
	if second.ID != first.ID || second.Seconds != 5 {
		t.Errorf("got test %d at %v s, want %d at 5 s", second.ID, second.Seconds, first.ID)
	}
	test.RequestKey = ""
	must(g.LogTest(t.Context(), test))(t)
	must(g.LogTest(t.Context(), test))(t)
	if n := len(must(g.Tests(t.Context(), TestFilter{}))(t)); n != 3 {
		t.Errorf("%d tests, want 3: without a key two alike are two", n)
	}
}

func TestTestsAreFiltered(t *testing.T) {
	t.Parallel()
	g := demo(t, openStore(t), "demo")
	p := must(g.Product(t.Context(), "Orrick Mid"))(t)
	i := must(g.Instrument(t.Context(), "27G 13 mm needle"))(t)
	m := must(g.Member(t.Context(), "quayside"))(t)
	all := must(g.Tests(t.Context(), TestFilter{}))(t)
	for scene, c := range map[string]struct {
		f    TestFilter
		pass func(BenchTest) bool
	}{
		"product":    {TestFilter{ProductID: p.ID}, func(x BenchTest) bool { return x.Combination.Product.ID == p.ID }},
		"instrument": {TestFilter{InstrumentID: i.ID}, func(x BenchTest) bool { return x.Combination.Instrument.ID == i.ID }},
		"tester":     {TestFilter{TesterID: m.ID}, func(x BenchTest) bool { return x.Tester.ID == m.ID }},
		"days": {TestFilter{From: "2025-12-01", To: "2025-12-31"}, func(x BenchTest) bool {
			return x.TestedOn >= "2025-12-01" && x.TestedOn <= "2025-12-31"
		}},
		"withdrawn": {TestFilter{State: Withdrawn}, func(x BenchTest) bool { return false }},
	} {
		var want []int64
		for _, x := range all {
			if c.pass(x) {
				want = append(want, x.ID)
			}
		}
		if got := ids(must(g.Tests(t.Context(), c.f))(t)); !slices.Equal(got, want) {
			t.Errorf("%s: got %v, want %v", scene, got, want)
		}
		if scene != "withdrawn" && len(want) == 0 {
			t.Errorf("%s: nothing to find", scene)
		}
	}
	if got := ids(must(g.Tests(t.Context(), TestFilter{Limit: 3}))(t)); !slices.Equal(got, ids(all[len(all)-3:])) {
		t.Errorf("the latest three are %v", got)
	}
}

func ids(tests []BenchTest) (out []int64) {
	for _, x := range tests {
		out = append(out, x.ID)
	}
	return out
}

func TestWithdrawingAndRestoringKeepATrace(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	trainer := must(g.Member(t.Context(), "lantern"))(t)
	test := must(g.LogTest(t.Context(), shown(5)))(t)
	_, err := g.WithdrawTest(t.Context(), test.ID, trainer, "  ")
	refused(t, err, "reason")
	_, err = g.WithdrawTest(t.Context(), test.ID, trainer, "mail jane@example.org")
	refused(t, err, "reason")
	_, err = g.RestoreTest(t.Context(), test.ID, trainer, "was never out")
	refused(t, err, "test")
	if w := must(g.WithdrawTest(t.Context(), test.ID, trainer, "wrong box"))(t); w.State != Withdrawn ||
		w.Seconds != 5 {
		t.Errorf("got %+v", w)
	}
	_, err = g.WithdrawTest(t.Context(), test.ID, trainer, "again")
	refused(t, err, "test")
	must(g.RestoreTest(t.Context(), test.ID, Member{Ref: "osier"}, "right box after all"))(t)
	history := must(g.History(t.Context(), test.ID))(t)
	var lines []string
	for _, c := range history {
		if !c.At.Equal(stopped) || c.TestID != test.ID {
			t.Errorf("got %+v", c)
		}
		lines = append(lines, fmt.Sprintf("%s by %s: %s", c.Action, c.By.Name, c.Reason))
	}
	if want := []string{"logged by osier: ", "withdrawn by lantern: wrong box",
		"restored by osier: right box after all"}; !slices.Equal(lines, want) {
		t.Errorf("got %q", lines)
	}
	for _, id := range []int64{0, 999} {
		_, errW := g.WithdrawTest(t.Context(), id, trainer, "why")
		_, errH := g.History(t.Context(), id)
		_, errT := g.Test(t.Context(), id)
		if !errors.Is(errW, ErrNotFound) || !errors.Is(errH, ErrNotFound) || !errors.Is(errT, ErrNotFound) {
			t.Errorf("test %d: %v, %v, %v", id, errW, errH, errT)
		}
	}
}

func TestACorrectionIsANewTestBesideTheOldOne(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	trainer := must(g.Member(t.Context(), "lantern"))(t)
	old := must(g.LogTest(t.Context(), shown(27)))(t)
	fixed := shown(2.7)
	fixed.RequestKey = "correction 1"
	corrected := must(g.CorrectTest(t.Context(), old.ID, fixed, trainer, "decimal point"))(t)
	if corrected.ID == old.ID || corrected.Corrects != old.ID || corrected.Seconds != 2.7 {
		t.Errorf("got %+v", corrected)
	}
	was := must(g.Test(t.Context(), old.ID))(t)
	if was.State != Withdrawn || was.Seconds != 27 || was.SecondsTyped != "27" {
		t.Errorf("the old test is now %+v", was)
	}
	if last := must(g.History(t.Context(), old.ID))(t); len(last) != 2 || last[1].Action != CorrectedAct ||
		last[1].Reason != "decimal point" {
		t.Errorf("got %+v", last)
	}
	if again := must(g.CorrectTest(t.Context(), old.ID, fixed, trainer, "decimal point"))(t); again.ID != corrected.ID {
		t.Errorf("the same correction twice is tests %d and %d", corrected.ID, again.ID)
	}
	e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
	if e.Counts.Run != 1 || e.Counts.Longest != 2.7 {
		t.Errorf("got %+v", e.Counts)
	}
	bad := shown(50) // later than the time watched
	_, err := g.CorrectTest(t.Context(), corrected.ID, bad, trainer, "no")
	refused(t, err, "seconds")
	if still := must(g.Test(t.Context(), corrected.ID))(t); still.State != Kept {
		t.Error("a refused correction withdrew the test")
	}
}

func TestNoRowOfATestIsEverEdited(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g := small(t, s, "local")
	trainer := must(g.Member(t.Context(), "lantern"))(t)
	test := must(g.LogTest(t.Context(), shown(5)))(t)
	row := func() string {
		var text string
		err := s.look().Row(t.Context(), `
			SELECT product_id || tested_on || liquid || liquid_c || pull_ml || watched_s || outcome || seconds ||
			       seconds_typed || timing || note || logged_at || entered
			FROM tests WHERE id = ?`, test.ID).Scan(&text)
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	before := row()
	must(g.WithdrawTest(t.Context(), test.ID, trainer, "why"))(t)
	must(g.RestoreTest(t.Context(), test.ID, trainer, "because"))(t)
	must(g.CorrectTest(t.Context(), test.ID, shown(6), trainer, "typed wrong"))(t)
	if after := row(); after != before {
		t.Errorf("before %q, after %q", before, after)
	}
}
