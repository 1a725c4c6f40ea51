package jobs

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// toldOf is how many tests a prompt tells of, and under which words.
func toldOf(t *testing.T, p Post) (n int, label string) {
	t.Helper()
	for _, f := range p.Card.Facts {
		if strings.Contains(f.Text, " new test") {
			if _, err := fmt.Sscanf(f.Text, "%d new test", &n); err != nil {
				t.Fatal(err)
			}
			label = f.Label
		}
	}
	return n, label
}

func TestALatePromptTellsOfWhatCameBeforeItAndNothingTwice(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday.Add(-time.Hour))
	g := b.small(t, "local", "UTC", time.Monday, 9)
	must(g.LogTest(t.Context(), shown(orrick(30), osier, "2026-11-20", 3)))(t)
	b.clock.set(monday.Add(time.Hour)) // after the hour, before the post
	must(g.LogTest(t.Context(), shown(orrick(30), millbrook, "2026-11-20", 3)))(t)
	b.tick(t, monday.Add(6*time.Hour))
	must(g.LogTest(t.Context(), shown(orrick(30), millbrook, "2026-11-20", 3)))(t)
	b.tick(t, monday.AddDate(0, 0, 7))
	b.tick(t, monday.AddDate(0, 0, 14))
	b.log.quiet(t)
	var told []int
	for _, p := range b.platform.seen {
		n, _ := toldOf(t, p)
		told = append(told, n)
	}
	if fmt.Sprint(told) != "[2 1 0]" {
		t.Errorf("told of %v tests", told)
	}
}

// A test every twenty hours, a look every ten, and everything that keeps a prompt from coming when it
// should: in the end each test was told of once.
func TestWhateverIsMissedEachTestIsToldOfOnce(t *testing.T) {
	t.Parallel()
	start := monday.AddDate(0, 0, -6)
	b := newBench(t, start)
	g := b.small(t, "local", "Europe/London", time.Monday, 9)
	day := func(n int) time.Time { return monday.AddDate(0, 0, n) }
	logged := 0
	var labels []string
	told, seen := 0, 0
	for now := start; now.Before(day(63)); now = now.Add(10 * time.Hour) {
		b.clock.set(now)
		if int(now.Sub(start).Hours())%20 == 0 {
			must(g.LogTest(t.Context(), shown(orrick(30), osier, "2026-11-16", 3)))(t)
			logged++
		}
		b.platform.fault = nil
		switch {
		case now.After(day(6)) && now.Before(day(9)): // off all Monday and Tuesday
			continue
		case now.After(day(13)) && now.Before(day(15)): // the platform takes nothing, ever
			b.platform.fault = func(Post, bool) error { return ErrUnreachable }
		case now.After(day(20)) && now.Before(day(22)): // posted, and the program ends before it is noted
			b.platform.fault = func(_ Post, after bool) error {
				if after {
					panic("the program ends here")
				}
				return nil
			}
		}
		if now.After(day(30)) && now.Before(day(31)) { // a Monday without a look after 18:00 is made up for on Tuesday
			if err := g.UpdateSettings(t.Context(), func(to *knowledge.Settings) error { to.ReminderWeekday, to.ReminderHour = time.Monday, 18; return nil }); err != nil {
				t.Fatal(err)
			}
		}
		if now.After(day(44)) && now.Before(day(45)) {
			if err := g.UpdateSettings(t.Context(), func(to *knowledge.Settings) error {
				to.ReminderWeekday, to.ReminderHour = time.Wednesday, 0
				return nil
			}); err != nil {
				t.Fatal(err)
			}
		}
		b.tick(t, now)
		b.platform.fault = nil
		b.tick(t, now.Add(11*time.Minute)) // what was not noted is tried again
		for ; seen < len(b.platform.seen); seen++ {
			if p := b.platform.seen[seen]; p.Channel != "" {
				n, label := toldOf(t, p)
				told += n
				labels = append(labels, label)
				logged -= n
			}
		}
	}
	// What is left was logged at or after the last prompt.
	since, until, err := g.PromptSpan(t.Context(), "none", day(63))
	if err != nil {
		t.Fatal(err)
	}
	left := 0
	for _, test := range must(g.Tests(t.Context(), knowledge.TestFilter{}))(t) {
		if !test.LoggedAt.Before(since) && test.LoggedAt.Before(until) {
			left++
		}
	}
	if logged != left || told == 0 {
		t.Errorf("%d tests were told of, %d not yet, of which %d are after the last prompt", told, logged, left)
	}
	if got, want := strings.Join(labels, ", "), "Last week, Since 2026-11-23, Last week, Since 2026-12-21, Last "+
		"week, Last week, Last week"; got != want {
		t.Errorf("told as %s, want %s", got, want)
	}
}

// learnedBy is what the line of a prompt at a time stands for, all of it.
func learnedBy(t *testing.T, g *knowledge.Group, now time.Time) []commands.Fact {
	t.Helper()
	week, _, err := must(g.Settings(t.Context()))(t).PromptDue(now)
	if err != nil {
		t.Fatal(err)
	}
	return must(commands.LearnedFor(t.Context(), g, week, now))(t).Facts()
}

func TestWhoClosedWhatIsTold(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday.AddDate(0, 0, -4))
	g := b.small(t, "local", "UTC", time.Monday, 9)
	must(g.TakeOn(t.Context(), osier, orrick(27), "2026-11-27"))(t)
	must(g.TakeOn(t.Context(), osier, orrick(30), "2026-11-27"))(t)
	b.clock.set(monday.AddDate(0, 0, -3))
	must(g.LogTest(t.Context(), shown(orrick(27), millbrook, "2026-11-20", 3)))(t)
	var told []string
	tell := func(now time.Time) {
		b.tick(t, now)
		for _, f := range learnedBy(t, g, now) {
			if f.Label == "Taken on and done" {
				told = append(told, f.Text)
			}
		}
	}
	tell(monday)
	must(g.LogTest(t.Context(), shown(orrick(30), osier, "2026-11-20", 3)))(t)
	tell(monday.AddDate(0, 0, 7))
	if got := strings.Join(told, " | "); got != "Orrick Mid, 27G 13 mm needle by millbrook | Orrick Mid, 30G 13 mm "+
		"needle by osier" {
		t.Errorf("told %s", got)
	}
}

func TestWhoAskedOnTheDayOfAChangeIsToldOnlyIfItWasBeforeIt(t *testing.T) {
	t.Parallel()
	for scene, c := range map[string]struct {
		asked []time.Duration // from the change
		told  int
	}{
		"before": {[]time.Duration{-time.Hour}, 1}, "after": {[]time.Duration{time.Hour}, 0},
		"before and after": {[]time.Duration{-time.Hour, time.Hour}, 0},
		"twice before":     {[]time.Duration{-2 * time.Hour, -time.Hour}, 1},
	} {
		t.Run(scene, func(t *testing.T) {
			t.Parallel()
			b, g := quiet(t)
			ctx := t.Context()
			if err := g.SetChoices(ctx, osier, knowledge.Choices{TellVerdicts: true}); err != nil {
				t.Fatal(err)
			}
			ask := func(after bool) {
				for _, d := range c.asked {
					if (d > 0) == after {
						b.clock.set(monday.Add(d))
						if err := g.NoteAsked(ctx, osier, orrick(27), "2026-11-23"); err != nil {
							t.Fatal(err)
						}
					}
				}
			}
			ask(false)
			b.clock.set(monday)
			tested(t, g, "2026-11-23")
			ask(true)
			for hour := 2; hour < 48; hour++ {
				b.tick(t, monday.Add(time.Duration(hour)*time.Hour))
			}
			if len(b.platform.seen) != c.told {
				t.Errorf("told %d times, want %d", len(b.platform.seen), c.told)
			}
		})
	}
}

// A change is told once though its product goes into another afterwards, and a
// merge is no news by itself.
func TestAMergeTellsNoVerdictTwice(t *testing.T) {
	t.Parallel()
	b, g := quiet(t)
	ctx := t.Context()
	twin := must(g.AddProduct(ctx, trade.Product{Name: "Orick Middle", Class: "firm HA"}))(t)
	other := orrick(27)
	other.Product = trade.Product{ID: twin.ID}
	mid := must(g.Product(ctx, "Orrick Mid"))(t)
	if err := errors.Join(g.SetChoices(ctx, osier, knowledge.Choices{TellVerdicts: true}),
		g.NoteAsked(ctx, osier, orrick(27), "2026-11-22"), g.NoteAsked(ctx, osier, other, "2026-11-22")); err != nil {
		t.Fatal(err)
	}
	for i := range 8 {
		must(g.LogTest(ctx, shown(other, millbrook, "2026-11-23", 3+0.1*float64(i))))(t)
	}
	b.tick(t, monday.Add(time.Hour))
	if len(b.platform.seen) != 1 {
		t.Fatalf("told %d times of new tests", len(b.platform.seen))
	}
	b.clock.set(monday.Add(2 * time.Hour))
	must(g.MergeProducts(ctx, twin.ID, mid.ID, knowledge.Member{Ref: "lantern"}, "one box"))(t)
	for hour := 3; hour < 72; hour++ {
		b.tick(t, monday.Add(time.Duration(hour)*time.Hour))
	}
	for _, p := range b.platform.seen[1:] {
		t.Errorf("told again: %s", p.Text())
	}
}

// Old tests come in by a file, and one by hand: the prompt tells of the one, and of
// no answer that the file changed.
func TestAnImportIsNoNews(t *testing.T) {
	t.Parallel()
	b, g := quiet(t)
	ctx := t.Context()
	if err := errors.Join(g.SetChoices(ctx, osier, knowledge.Choices{TellVerdicts: true}),
		g.NoteAsked(ctx, osier, orrick(27), "2026-11-22")); err != nil {
		t.Fatal(err)
	}
	file := "tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note\n"
	for i := range 8 {
		file += fmt.Sprintf("2026-01-%02d,millbrook,Orrick Mid,27G 13 mm needle,supplied,whole "+
			"milk,21,0.1,30,flashback,3.%d,video 30 fps,\n", i+1, i)
	}
	b.clock.set(monday.AddDate(0, 0, -2))
	if report := must(g.Import(ctx, knowledge.TestFile, knowledge.RowsOf(strings.NewReader(file)), knowledge.Importing{}))(t); report.Added != 8 {
		t.Fatalf("%+v", report)
	}
	must(g.LogTest(ctx, shown(orrick(30), osier, "2026-11-20", 3)))(t)
	changes := must(g.VerdictChanges(ctx, monday.AddDate(0, 0, -3)))(t)
	if len(changes) != 2 {
		t.Fatalf("nothing is proved: %+v", changes)
	}
	if err := g.UpdateSettings(ctx, func(to *knowledge.Settings) error {
		to.ReminderChannel, to.ReminderWeekday, to.ReminderHour = "400000000000000001", time.Monday, 9
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	b.tick(t, monday)
	b.log.quiet(t)
	said := ""
	for _, p := range b.platform.seen {
		said += p.Text()
	}
	if !strings.Contains(said, "Last week: 1 new test of 1 combination, by osier (1); 1 answer changed\n") {
		t.Errorf("the prompt says:\n%s", said)
	}
	said = fmt.Sprint(learnedBy(t, g, monday))
	if !strings.Contains(said, "1 new test of 1 combination, by osier (1)") ||
		!strings.Contains(said, "{Orrick Mid, 30G 13 mm needle was untested") {
		t.Errorf("said:\n%s", said)
	}
	if strings.Contains(said, "millbrook") || strings.Contains(said, "27G 13 mm needle was") ||
		strings.Contains(said, "answer") {
		t.Errorf("an import is told as news:\n%s", said)
	}
}
