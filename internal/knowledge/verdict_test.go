package knowledge

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// told writes verdict changes the short way.
func told(t testing.TB, g *Group, since time.Time) (lines []string) {
	t.Helper()
	for _, c := range must(g.VerdictChanges(t.Context(), since))(t) {
		lines = append(lines, fmt.Sprintf("%s: %s > %s, %d tests, %s", c.Combination.Instrument.Name(), c.Before,
			c.After, c.Tests, c.Cause))
	}
	return lines
}

// logMany logs tests of one needle, by two members in turn, that all take about so
// long.
func logMany(t testing.TB, g *Group, i trade.Instrument, n int, seconds float64) (last BenchTest) {
	t.Helper()
	for k := range n {
		test := shown(seconds * (1 + float64(k%5-2)/20))
		test.Combination.Instrument, test.Tester = i, [...]Member{lantern, osier}[k%2]
		last = must(g.LogTest(t.Context(), test))(t)
	}
	return last
}

func TestAVerdictChangeIsRecordedWithBeforeAndAfter(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	must(g.LogTest(ctx, shown(9)))(t)
	if got, want := told(t, g, stopped), []string{"27G 13 mm needle:  > too few tests, 1 tests, new tests"}; !slices.Equal(got, want) {
		t.Errorf("the first test: %q, want %q", got, want)
	}
	clock.set(stopped.Add(time.Hour))
	logMany(t, g, needle(27, 13), 10, 3)
	changes := must(g.VerdictChanges(ctx, stopped.Add(time.Minute)))(t)
	if len(changes) < 1 || changes[0].Before != calc.StateTooFewTests ||
		changes[len(changes)-1].After != calc.StateHold || !changes[0].At.Equal(stopped.Add(time.Hour)) {
		t.Errorf("ten quick tests: %+v", changes)
	}
	if e := must(g.Evidence(ctx, orrickOn27(), 0))(t); e.State != calc.StateHold {
		t.Errorf("the answer says %s", e.State)
	}
}

func TestTheVerdictOfWhatWasNotTestedThatDayChangesToo(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	logMany(t, g, needle(30, 13), 3, 4)
	before := len(told(t, g, time.Time{}))
	logMany(t, g, needle(27, 13), 12, 1) // the gel is known better by them
	for _, line := range told(t, g, time.Time{})[before:] {
		if line == "30G 13 mm needle: not sure enough > hold, 3 tests, new tests" {
			return
		}
	}
	t.Errorf("got %q", told(t, g, time.Time{}))
}

func TestAWithdrawalIsNoNewTest(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	only := must(g.LogTest(ctx, shown(9)))(t)
	must(g.WithdrawTest(ctx, only.ID, lantern, "stuck"))(t)
	must(g.RestoreTest(ctx, only.ID, lantern, "it was not"))(t)
	must(g.CorrectTest(ctx, only.ID, shown(9.5), osier, "misread"))(t)
	want := []string{
		"27G 13 mm needle:  > too few tests, 1 tests, new tests",
		"27G 13 mm needle: too few tests > , 0 tests, log changed",
		"27G 13 mm needle:  > too few tests, 1 tests, log changed",
	}
	if got := told(t, g, time.Time{}); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestImportedTestsAreNoNews(t *testing.T) {
	t.Parallel()
	g := estimatedDemo(t, openStore(t), "demo")
	changes := must(g.VerdictChanges(t.Context(), time.Time{}))(t)
	if len(changes) != len(must(g.Tested(t.Context()))(t)) {
		t.Errorf("%d changes", len(changes))
	}
	for _, c := range changes {
		if c.Cause != LogChanged || c.Before != "" {
			t.Errorf("got %+v", c)
		}
	}
}

func TestACeilingChangesNoVerdictInTheRecords(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	logMany(t, g, needle(27, 13), 12, 3)
	n := len(told(t, g, time.Time{}))
	if err := g.UpdateSettings(ctx, func(to *Settings) error { to.Ceiling = 1; return nil }); err != nil {
		t.Fatal(err)
	}
	if e := must(g.Evidence(ctx, orrickOn27(), 0))(t); e.State == calc.StateHold {
		t.Fatalf("at another ceiling still %s", e.State)
	}
	logMany(t, g, needle(27, 13), 1, 3) // one more of the same: nothing changed by it
	if got := told(t, g, time.Time{})[n:]; len(got) != 0 {
		t.Errorf("got %q", got)
	}
	must(g.store.Group(ctx, "local"))(t)
}

func TestVerdictsAreRecordedWhoeverAsksFirst(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "bench.db")
	s := must(Open(t.Context(), at(t, path), WithClock(stoppedClock), WithPatience(time.Hour)))(t)
	g := small(t, s, "local")
	// The program stops between storing a test and estimating it.
	if err := s.inTx(t.Context(), func(q querier) error { _, err := g.logTest(t.Context(), q, shown(9)); return err }); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	g = must(openAt(t, path).Group(t.Context(), "local"))(t)
	if got := told(t, g, time.Time{}); len(got) != 1 {
		t.Errorf("got %q", got)
	}
}

func TestAStoreFromBeforeVerdictsWereRecordedBringsNoNews(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	must(g.LogTest(ctx, shown(9)))(t)
	for _, query := range []string{`DELETE FROM verdicts`, `DELETE FROM verdict_changes`, `UPDATE estimates SET latest_test = -1`} {
		if _, err := unchecked(g.store.Store).Exec(ctx, query); err != nil {
			t.Fatal(err)
		}
	}
	must(g.LogTest(ctx, shown(8)))(t)
	if got := told(t, g, time.Time{}); len(got) != 0 {
		t.Errorf("got %q", got)
	}
	logMany(t, g, needle(27, 13), 10, 3)
	if got := told(t, g, time.Time{}); len(got) == 0 ||
		!strings.HasPrefix(got[0], "27G 13 mm needle: too few tests > ") {
		t.Errorf("from then on: %q", got)
	}
}

func TestAMergeKeepsTheHistoryOfBoth(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	mid, twin := twoProducts(t, g)
	test := shown(9)
	test.Combination = on(twin, needle(30, 13))
	must(g.LogTest(ctx, test))(t)
	must(g.LogTest(ctx, shown(9)))(t)
	must(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "one box"))(t)
	changes := must(g.VerdictChanges(ctx, time.Time{}))(t)
	if len(changes) < 2 || changes[0].Combination.Product.ID != mid.ID ||
		changes[0].Combination.Instrument.Gauge != 30 {
		t.Errorf("got %+v", changes)
	}
	for _, c := range changes[2:] { // what the merge itself changed was tested before
		if c.Before == "" || c.After == "" {
			t.Errorf("got %+v", c)
		}
	}
}
