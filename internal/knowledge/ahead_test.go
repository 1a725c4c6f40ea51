package knowledge

import (
	"slices"
	"testing"
	"time"
)

// A clock that ran ahead for a while and was put back must not hold anything up.
const years = 5 * 365 * 24 * time.Hour

func whats(ahead []Noted) (all []string) {
	for _, n := range ahead {
		all = append(all, n.What)
	}
	return all
}

func TestAPromptOfAWrongClockHoldsNoneUpAndIsToldOf(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	post := func(week string, want bool) {
		t.Helper()
		n, mine, err := g.ClaimPrompt(ctx, week)
		if err != nil || mine != want {
			t.Fatalf("%s at %s: %t, %v", week, clock.read(), mine, err)
		}
		if mine {
			if err := g.CompleteNotice(ctx, n, "message"); err != nil {
				t.Fatal(err)
			}
		}
	}
	last := func(want time.Time) {
		t.Helper()
		if at := must(s.LastPrompt(ctx))(t); !at.Equal(want) {
			t.Errorf("at %s the last prompt was at %s, want %s", clock.read(), at, want)
		}
	}
	post("2026-W48", true)
	clock.set(stopped.Add(years))
	post("2031-W47", true)
	clock.set(stopped.AddDate(0, 0, 7))
	last(stopped)
	if got := whats(must(s.TimesAhead(ctx))(t)); !slices.Equal(got, []string{"weekly prompt"}) {
		t.Errorf("ahead: %v", got)
	}
	post("2026-W49", true)
	if got := must(s.TimesAhead(ctx))(t); len(got) != 0 {
		t.Errorf("still ahead: %v", got)
	}
	last(clock.read())
	clock.set(stopped.AddDate(0, 0, 9))
	post("2026-W50", false) // two days after the last
	since, _, err := g.PromptSpan(ctx, "2026-W50", clock.read())
	if err != nil || !since.Equal(stopped.AddDate(0, 0, 7)) {
		t.Errorf("the next tells of the time since %s, %v", since, err)
	}
}

func TestANoticeThatAWrongClockClaimedIsTriedAgain(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	claim := func() bool {
		t.Helper()
		_, mine, err := g.ClaimNotice(ctx, VerdictNews, "a change")
		if err != nil {
			t.Fatal(err)
		}
		return mine
	}
	clock.set(stopped.Add(years))
	if !claim() {
		t.Fatal("not claimed")
	}
	clock.set(stopped.Add(years - time.Minute)) // two machines whose clocks are a minute apart
	if claim() {
		t.Error("claimed twice")
	}
	clock.set(stopped)
	if !claim() || claim() {
		t.Error("want it claimed once")
	}
}

func TestLearningGoesOnAfterAWrongClock(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := drawn(t, s, drawnLog{products: 3, tests: 3, spread: wide}), t.Context()
	for scene, begin := range map[string]func() error{
		"learned": func() error { _, err := g.LearnSpreadsNow(ctx); return err },
		"killed on the way": func() error {
			_, mine, err := g.takeSpreadTurn(ctx, true)
			if !mine {
				t.Error("no turn")
			}
			return err
		},
	} {
		clock.set(stopped.Add(years))
		if err := begin(); err != nil {
			t.Fatal(err)
		}
		clock.set(stopped)
		if got := whats(must(s.TimesAhead(ctx))(t)); !slices.Equal(got, []string{"learning"}) {
			t.Errorf("%s, ahead: %v", scene, got)
		}
		logAll(t, g, []BenchTest{productTest(t, g)})
		if o := must(g.LearnSpreads(ctx))(t); !o.Looked {
			t.Errorf("%s: nothing is learned after the clock was put back", scene)
		}
		if got := must(s.TimesAhead(ctx))(t); len(got) != 0 {
			t.Errorf("%s, still ahead: %v", scene, got)
		}
	}
}

// productTest is one more test of a drawn log.
func productTest(t testing.TB, g *Group) BenchTest {
	t.Helper()
	tests := must(g.Tests(t.Context(), TestFilter{}))(t)
	test := tests[0]
	test.Seconds, test.SecondsTyped = test.Seconds+0.1, ""
	test.Tester = Member{Ref: "osier"}
	return test
}

func TestABackupOfAWrongClockHoldsNoneUp(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	ctx := t.Context()
	clock.set(stopped.Add(24 * time.Hour))
	tomorrow := clock.read().Format(time.DateOnly)
	claim := func(want bool) {
		t.Helper()
		if mine := must(s.ClaimBackup(ctx, clock.read().Format(time.DateOnly)))(t); mine != want {
			t.Fatalf("at %s: %t", clock.read(), mine)
		}
		if err := s.BackupMade(ctx, clock.read().Format(time.DateOnly), "file", 1); want && err != nil {
			t.Fatal(err)
		}
	}
	claim(true)
	clock.set(stopped)
	if at := must(s.LastBackup(ctx))(t); !at.IsZero() {
		t.Errorf("one still to come is taken for the last: %s", at)
	}
	claim(true)
	clock.set(stopped.Add(24 * time.Hour))
	if clock.read().Format(time.DateOnly) != tomorrow {
		t.Fatal("not the same night")
	}
	claim(true) // it had been made by the wrong clock
	claim(false)
}
