package knowledge

import (
	"errors"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"holdbench/internal/trade"
)

func TestAPromptIsClaimedOnceAWeekByOneOfManyPrograms(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "bench.db")
	one := openAt(t, path)
	small(t, one, "local")
	two := openAt(t, path) // started twice on one file
	var all sync.WaitGroup
	wins := make([]bool, 16)
	for i := range wins {
		all.Go(func() {
			g, err := []*Store{one, two}[i%2].Group(t.Context(), "local")
			if err != nil {
				t.Error(err)
				return
			}
			_, wins[i], err = g.ClaimPrompt(t.Context(), "2026-W48")
			if err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	won := 0
	for _, win := range wins {
		if win {
			won++
		}
	}
	if won != 1 {
		t.Errorf("%d callers may post", won)
	}
}

func TestAPromptThatWasClaimedAndNotPostedIsTriedAgainWithTheSameNonce(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	claim := func() (Notice, bool) {
		t.Helper()
		n, mine, err := g.ClaimPrompt(ctx, "2026-W48")
		if err != nil {
			t.Fatal(err)
		}
		return n, mine
	}
	first, mine := claim()
	if !mine || first.Attempt != 1 || first.Nonce == "" || len(first.Nonce) > 25 || !first.Begun.Equal(stopped) {
		t.Fatalf("got %+v, %v", first, mine)
	}
	clock.set(stopped.Add(noticeLease - time.Second))
	if _, mine := claim(); mine {
		t.Error("claimed again while it may still be on its way")
	}
	clock.set(stopped.Add(noticeLease))
	second, mine := claim()
	if !mine || second.Attempt != 2 || second.Nonce != first.Nonce || !second.Begun.Equal(first.Begun) {
		t.Fatalf("after a crash: %+v, %v", second, mine)
	}
	if _, mine := claim(); mine {
		t.Error("two try again")
	}
	if err := g.CompleteNotice(ctx, second, "message 7"); err != nil {
		t.Fatal(err)
	}
	clock.set(stopped.Add(24 * time.Hour))
	if _, mine := claim(); mine {
		t.Error("claimed after it was posted")
	}
	for _, err := range []error{g.CompleteNotice(ctx, second, "message 8"), g.ReleaseNotice(ctx, second)} {
		if err != nil {
			t.Error(err)
		}
	}
	if _, mine := claim(); mine {
		t.Error("completing or releasing what is over opens it again")
	}
	if err := g.CompleteNotice(ctx, Notice{Kind: WeeklyPrompt, Key: "2026-W40", Nonce: "x"}, "m"); !errors.Is(err,
		ErrNotFound) {
		t.Errorf("what was never claimed: %v", err)
	}
}

func TestAPromptThatThePlatformRefusedIsTriedAgainAtOnce(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	n, _, err := g.ClaimPrompt(ctx, "2026-W48")
	if err != nil {
		t.Fatal(err)
	}
	if err := g.ReleaseNotice(ctx, n); err != nil {
		t.Fatal(err)
	}
	again, mine, err := g.ClaimPrompt(ctx, "2026-W48")
	if err != nil || !mine || again.Attempt != 2 || again.Nonce != n.Nonce {
		t.Errorf("got %+v, %v, %v", again, mine, err)
	}
}

func TestNothingToSayIsSaidOnceToo(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	n, _, err := g.ClaimPrompt(ctx, "2026-W48")
	if err != nil {
		t.Fatal(err)
	}
	if err := g.CompleteNotice(ctx, n, ""); err != nil {
		t.Fatal(err)
	}
	clock.set(stopped.Add(time.Hour))
	if _, mine, err := g.ClaimPrompt(ctx, "2026-W48"); mine || err != nil {
		t.Errorf("got %v, %v", mine, err)
	}
}

func TestAChangedDayOrZoneBringsNoTwoPromptsWithinDays(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	sunday := time.Date(2026, 11, 29, 23, 0, 0, 0, time.UTC)
	steps := []struct {
		at   time.Time
		week string
		want bool
	}{
		{sunday, "2026-W48", true},
		{sunday.Add(2 * time.Hour), "2026-W49", false}, // Monday by now, or in another zone
		{sunday.AddDate(0, 0, 8), "2026-W50", true},
		{sunday.AddDate(0, 0, 14), "2026-W51", true}, // a day early, the last one came late
	}
	for _, step := range steps {
		clock.set(step.at)
		n, mine, err := g.ClaimPrompt(ctx, step.week)
		if err != nil || mine != step.want {
			t.Errorf("%s at %v: %v, %v", step.week, step.at, mine, err)
		}
		if mine {
			if err := g.CompleteNotice(ctx, n, "m"); err != nil {
				t.Error(err)
			}
		}
	}
}

// Clocks in Lisbon went from 01:00 to 02:00 on 2026-03-29 and will go from 02:00
// back to 01:00 on 2026-10-25, both Sundays (the zone database that Go brings).
func TestAPromptIsDueOnceADayAcrossBothClockChanges(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	if err := g.UpdateSettings(ctx, func(to *Settings) error { to.Zone = "Europe/Lisbon"; return nil }); err != nil {
		t.Fatal(err)
	}
	if err := g.UpdateSettings(ctx, func(to *Settings) error { to.ReminderWeekday, to.ReminderHour = time.Sunday, 1; return nil }); err != nil {
		t.Fatal(err)
	}
	settings := must(g.Settings(ctx))(t)
	zone := must(time.LoadLocation("Europe/Lisbon"))(t)
	posted := map[string][]time.Time{}
	sundays := []time.Time{ // the day of the change, the week before and the week after
		time.Date(2026, 3, 22, 0, 0, 0, 0, time.UTC), time.Date(2026, 3, 29, 0, 0, 0, 0, time.UTC),
		time.Date(2026, 4, 5, 0, 0, 0, 0, time.UTC),
		time.Date(2026, 10, 18, 0, 0, 0, 0, time.UTC), time.Date(2026, 10, 25, 0, 0, 0, 0, time.UTC),
		time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC),
	}
	for now, last := sundays[0].AddDate(0, 0, -2),
		sundays[5].AddDate(0, 0, 2); now.Before(last); now = now.Add(20 * time.Minute) {
		if now.After(sundays[2].AddDate(0, 0, 2)) && now.Before(sundays[3].AddDate(0, 0, -2)) {
			continue
		}
		clock.set(now)
		week, due, err := settings.PromptDue(now)
		if err != nil {
			t.Fatal(err)
		}
		if !due {
			continue
		}
		n, mine, err := g.ClaimPrompt(ctx, week)
		if err != nil {
			t.Fatal(err)
		}
		if mine {
			posted[now.In(zone).Format(dayText)] = append(posted[now.In(zone).Format(dayText)], now)
			if err := g.CompleteNotice(ctx, n, "m"); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, day := range sundays {
		at := posted[day.Format(dayText)]
		if len(at) != 1 {
			t.Fatalf("%s: posted at %v", day.Format(dayText), at)
		}
		want := "01:00"
		if day.Month() == 3 && day.Day() == 29 {
			want = "02:00" // there is no 01:00 on that day
		}
		if got := at[0].In(zone).Format("15:04"); got != want {
			t.Errorf("%s: posted at %s, want %s", day.Format(dayText), got, want)
		}
		delete(posted, day.Format(dayText))
	}
	if len(posted) > 0 {
		t.Errorf("posted on other days: %v", posted)
	}
}

func TestAMissedDayIsCaughtUpTheNextAndNoLater(t *testing.T) {
	t.Parallel()
	s := Settings{Zone: "UTC", ReminderWeekday: time.Sunday, ReminderHour: 9}
	for at, want := range map[string]bool{
		// a Sunday, the last day of its week
		"2026-11-29T08:59": false, "2026-11-29T09:00": true, "2026-11-29T23:59": true,
		"2026-11-30T08:59": false, "2026-11-30T09:00": true, "2026-11-30T23:59": true,
	} {
		now := must(time.Parse("2006-01-02T15:04", at))(t)
		if week, due, err := s.PromptDue(now); err != nil || due != want || week != "2026-W48" {
			t.Errorf("%s: %s %v %v", at, week, due, err)
		}
	}
	if week, due, err := s.PromptDue(time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC)); err != nil || due ||
		week != "2026-W49" {
		t.Errorf("two days later: %s %v %v", week, due, err)
	}
}

func TestReminderSettingsAreHeldAgainstTheirRules(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	for _, err := range []error{g.UpdateSettings(ctx, func(to *Settings) error { to.ReminderWeekday, to.ReminderHour = time.Saturday, 23; return nil }), g.UpdateSettings(ctx, func(to *Settings) error { to.BoxItems, to.BoxDays = 6, 14; return nil }), g.UpdateSettings(ctx, func(to *Settings) error { to.KeepDays = 90; return nil })} {
		if err != nil {
			t.Error(err)
		}
	}
	s := must(g.Settings(ctx))(t)
	if s.ReminderWeekday != time.Saturday || s.ReminderHour != 23 || s.BoxItems != 6 || s.BoxDays != 14 ||
		s.KeepDays != 90 {
		t.Errorf("got %+v", s)
	}
	var field *trade.FieldError
	for _, err := range []error{
		g.UpdateSettings(ctx, func(to *Settings) error { to.ReminderWeekday, to.ReminderHour = 7, 8; return nil }),
		g.UpdateSettings(ctx, func(to *Settings) error { to.ReminderWeekday, to.ReminderHour = -1, 8; return nil }),
		g.UpdateSettings(ctx, func(to *Settings) error { to.ReminderWeekday, to.ReminderHour = 1, 24; return nil }),
		g.UpdateSettings(ctx, func(to *Settings) error { to.ReminderWeekday, to.ReminderHour = 1, -1; return nil }),
		g.UpdateSettings(ctx, func(to *Settings) error { to.BoxItems, to.BoxDays = 0, 14; return nil }),
		g.UpdateSettings(ctx, func(to *Settings) error { to.BoxItems, to.BoxDays = 51, 14; return nil }),
		g.UpdateSettings(ctx, func(to *Settings) error { to.BoxItems, to.BoxDays = 5, 0; return nil }),
		g.UpdateSettings(ctx, func(to *Settings) error { to.BoxItems, to.BoxDays = 5, 366; return nil }),
		g.UpdateSettings(ctx, func(to *Settings) error { to.KeepDays = 0; return nil }),
		g.UpdateSettings(ctx, func(to *Settings) error { to.KeepDays = 3651; return nil }),
	} {
		if !errors.As(err, &field) {
			t.Errorf("got %v, want a *FieldError", err)
		}
	}
	if after := must(g.Settings(ctx))(t); after != s {
		t.Errorf("a refused setting changed %+v", after)
	}
}

func TestACommunityIsErasedAfterItsOwnNumberOfDays(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	ctx := t.Context()
	for ref, days := range map[string]int{"short": 7, "long": 100} {
		g := small(t, s, ref)
		must(g.TakeOn(ctx, osier, orrickOn27(), ""))(t)
		if err := errors.Join(g.UpdateSettings(ctx, func(to *Settings) error { to.KeepDays = days; return nil }),
			g.Leave(ctx)); err != nil {
			t.Fatal(err)
		}
	}
	small(t, s, "stays")
	clock.set(stopped.AddDate(0, 0, 7))
	if refs := looked(t, s); len(refs) != 0 {
		t.Errorf("after just seven days: %v", refs)
	}
	clock.set(stopped.AddDate(0, 0, 8))
	if refs := looked(t, s); len(refs) != 1 || refs[0] != "short" {
		t.Errorf("got %v", refs)
	}
}

// A notice that was begun and given back is tried again; one that was not begun, or is
// over, is none.
func TestANoticeIsRetriedUntilItIsOver(t *testing.T) {
	s := openStore(t)
	g := found(t, s, "local")
	open := func(want ...string) {
		t.Helper()
		if refs, err := s.OpenNotices(t.Context(), Welcome); err != nil || !slices.Equal(refs, want) {
			t.Errorf("open %v, %v; want %v", refs, err, want)
		}
	}
	if _, mine, err := g.RetryNotice(t.Context(), Welcome, "first"); mine || err != nil {
		t.Errorf("one that was not begun: %t, %v", mine, err)
	}
	open()
	n, _, err := g.ClaimNotice(t.Context(), Welcome, "first")
	if err != nil {
		t.Fatal(err)
	}
	open(g.Ref())
	if _, mine, err := g.RetryNotice(t.Context(), Welcome, "first"); mine || err != nil {
		t.Errorf("one that somebody is at: %t, %v", mine, err)
	}
	if err := g.ReleaseNotice(t.Context(), n); err != nil {
		t.Fatal(err)
	}
	again, mine, err := g.RetryNotice(t.Context(), Welcome, "first")
	if !mine || err != nil || again.Attempt != 2 || again.Nonce != n.Nonce {
		t.Errorf("given back: %+v, %t, %v", again, mine, err)
	}
	if err := g.CompleteNotice(t.Context(), again, "message 9"); err != nil {
		t.Fatal(err)
	}
	if _, mine, err := g.RetryNotice(t.Context(), Welcome, "first"); mine || err != nil {
		t.Errorf("one that is over: %t, %v", mine, err)
	}
	open()
}
