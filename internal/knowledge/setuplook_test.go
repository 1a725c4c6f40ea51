package knowledge

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// oddSetup logs a set-up whose tests agree with each other and not with the gel's
// others: through the finer needle it shows sooner than through the wider.
func oddSetup(t *testing.T, g *Group) trade.Combination {
	t.Helper()
	must(g.AddInstrument(t.Context(), needle(29, 13)))(t)
	logMany(t, g, needle(27, 13), 6, 6)
	logMany(t, g, needle(29, 13), 6, 14)
	logMany(t, g, needle(30, 13), 6, 0.4)
	c := orrickOn27()
	c.Instrument = needle(30, 13)
	return c
}

func TestATrainersLookHoldsUntilTheNextTest(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	c := oddSetup(t, g)
	state := func() calc.State {
		t.Helper()
		e := must(g.Evidence(ctx, c, 0))(t)
		for _, covered := range must(g.Coverage(ctx))(t) {
			if keyOf(covered.Combination) == keyOf(e.Combination) && covered.State != e.State {
				t.Errorf("the coverage says %s, the answer %s", covered.State, e.State)
			}
		}
		return e.State
	}
	if got := state(); got != calc.StateUnlikeTheOthers {
		t.Fatalf("the odd set-up is %s", got)
	}
	look := must(g.LookAtSetup(ctx, c, lantern))(t)
	if look.By.Ref != "lantern" || look.Combination.Instrument.ID == 0 {
		t.Errorf("got %+v", look)
	}
	if got := state(); got == calc.StateUnlikeTheOthers {
		t.Error("a look changed nothing")
	}
	if changes := must(g.Changes(ctx, ChangeFilter{Limit: 1}))(t); changes[0].Action != LookedAct ||
		changes[0].Tool != "30G 13 mm needle" || changes[0].By.Ref != "lantern" {
		t.Errorf("the history says %+v", changes[0])
	}
	logMany(t, g, needle(30, 13), 1, 0.4)
	if got := state(); got != calc.StateUnlikeTheOthers {
		t.Errorf("after another test it is %s", got)
	}
	c.Instrument = trade.Instrument{Kind: trade.Cannula, Gauge: 25, LengthMM: 38}
	if _, err := g.LookAtSetup(ctx, c, lantern); !errors.Is(err, ErrNotFound) {
		t.Errorf("a look at what nobody tested: %v", err)
	}
}

func TestLeastTestsAndMembersAreTheGroups(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	logMany(t, g, needle(27, 13), 6, 3)
	for _, s := range []struct {
		tests, members int
		want           calc.State
	}{{3, 2, calc.StateHold}, {7, 2, calc.StateTooFewTests}, {3, 3, calc.StateTooFewMembers}, {2, 1, calc.StateHold}} {
		if err := setLeast(ctx, g, s.tests, s.members); err != nil {
			t.Fatal(err)
		}
		e := must(g.Evidence(ctx, orrickOn27(), 0))(t)
		covered := must(g.Coverage(ctx))(t)
		if e.State != s.want || covered[0].State != s.want || e.Rule.LeastTests != s.tests ||
			e.Rule.LeastMembers != s.members {
			t.Errorf("%d tests by %d members: %s, on record %s, want %s", s.tests, s.members, e.State, covered[0].State,
				s.want)
		}
	}
	if got := told(t, g, stopped); len(got) == 0 || got[len(got)-1] != fmt.Sprintf("27G 13 mm needle: too few tests "+
		"> hold, %d tests, new tests", 3) {
		t.Errorf("a rule that changes is no news of a test: %q", got)
	}
	for bad, field := range map[[2]int]string{{1, 2}: "least tests", {3, 0}: "least members",
		{MaxLeast + 1, 2}: "least tests", {3, MaxLeast + 1}: "least members"} {
		refused(t, setLeast(ctx, g, bad[0], bad[1]), field)
	}
}

func TestTheMethodIsNewToThoseWhoBeganWithAnother(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	changed := func(want bool) {
		t.Helper()
		if now, got, err := g.MethodChanged(ctx); now != adviceMethod || got != want || err != nil {
			t.Errorf("%d, %t, %v", now, got, err)
		}
	}
	logMany(t, g, needle(27, 13), 1, 3)
	changed(false)
	if _, err := unchecked(g.store.Store).Exec(ctx, `UPDATE communities SET first_method = 1`); err != nil {
		t.Fatal(err)
	}
	changed(true)
}

// What another computation said is not told as a change, whatever is tested meanwhile.
func TestAnotherComputationIsNoNewsOfEachCombination(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	logMany(t, g, needle(27, 13), 6, 3)
	for _, query := range []string{`UPDATE estimates SET model = 1`, `UPDATE verdict_changes SET model = 1`, `UPDATE verdicts SET state = 'shows in time'`} {
		if _, err := unchecked(g.store.Store).Exec(ctx, query); err != nil {
			t.Fatal(err)
		}
	}
	g.store.files.Clear()
	logMany(t, g, needle(27, 13), 1, 3)
	if err := g.BringUpToDate(ctx); err != nil {
		t.Fatal(err)
	}
	if got := told(t, g, stopped); len(got) != 0 {
		t.Errorf("told %q", got)
	}
	if e := must(g.Evidence(ctx, orrickOn27(), 0))(t); e.State != calc.StateHold ||
		must(g.Coverage(ctx))(t)[0].State != e.State {
		t.Errorf("it is %s now", e.State)
	}
}

// setLeast sets how many tests a hold takes, and by how many members.
func setLeast(ctx context.Context, g *Group, tests, members int) error {
	return g.UpdateSettings(ctx, func(s *Settings) error {
		s.LeastTests, s.LeastMembers = tests, members
		return nil
	})
}
