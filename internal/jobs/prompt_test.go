package jobs

import (
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/knowledge"
)

// The clocks in London went forward on 2026-03-29 (no 01:00 to 02:00) and back on
// 2026-10-25 (01:00 to 02:00 twice); in New York on 2026-03-08 (no 02:00 to 03:00)
// and 2026-11-01 (01:00 to 02:00 twice): the zone database that Go brings.
func TestOnePromptAWeekAcrossClockChangesFromTwoProgramsOnOneFile(t *testing.T) {
	t.Parallel()
	b := newBench(t, time.Date(2026, 2, 1, 0, 0, 0, 0, time.UTC))
	communities := []struct {
		ref, zone string
		hour      int
		odd       map[string]string // where it comes at another hour than the set one
	}{
		{"london", "Europe/London", 1, map[string]string{"2026-03-29": "02:00"}},
		{"york-1", "America/New_York", 1, nil},
		{"york-2", "America/New_York", 2, map[string]string{"2026-03-08": "03:00"}},
		{"late", "Europe/London", 23, nil},
	}
	for _, c := range communities {
		b.small(t, c.ref, c.zone, time.Sunday, c.hour)
	}
	runners := []*Runner{b.runner(b.store), b.runner(b.open(t))}
	sundays := []string{"2026-03-08", "2026-03-15", "2026-03-22", "2026-03-29", "2026-04-05", "2026-10-25",
		"2026-11-01", "2026-11-08"}
	// The second span begins on a Tuesday: on a Monday the Sunday before would be made up for.
	for _, span := range [][2]string{{"2026-03-02", "2026-04-06"}, {"2026-10-20", "2026-11-09"}} {
		from, to := must(time.Parse(dayForm, span[0]))(t), must(time.Parse(dayForm, span[1]))(t)
		for now := from.Add(12 * time.Hour); now.Before(to.Add(12 * time.Hour)); now = now.Add(step(now)) {
			b.clock.set(now)
			var both sync.WaitGroup
			for _, r := range runners {
				both.Go(func() { r.Tick(t.Context()) })
			}
			both.Wait()
		}
	}
	posted := map[string][]string{} // community and day → at
	for i, p := range b.platform.seen {
		for _, c := range communities {
			if c.ref == p.Community {
				there := b.platform.at[i].In(must(time.LoadLocation(c.zone))(t))
				key := c.ref + " " + there.Format(dayForm)
				posted[key] = append(posted[key], there.Format("15:04"))
			}
		}
	}
	for _, c := range communities {
		for _, sunday := range sundays {
			want := fmt.Sprintf("%02d:00", c.hour)
			if odd := c.odd[sunday]; odd != "" {
				want = odd
			}
			if at := posted[c.ref+" "+sunday]; len(at) != 1 || at[0] != want {
				t.Errorf("%s on %s: posted at %v, want once at %s", c.ref, sunday, at, want)
			}
			delete(posted, c.ref+" "+sunday)
		}
	}
	b.log.quiet(t)
	if len(posted) > 0 {
		t.Errorf("posted on other days too: %v", posted)
	}
	if len(b.platform.calls) != len(sundays)*len(communities) {
		t.Errorf("%d calls of the platform in %d weeks for %d communities", len(b.platform.calls), len(sundays),
			len(communities))
	}
}

// step is an hour from Saturday night to Monday morning, and six of them at other
// times.
func step(now time.Time) time.Duration {
	day, hour := now.Weekday(), now.Hour()
	if day == time.Saturday && hour >= 18 || day == time.Sunday || day == time.Monday && hour < 6 {
		return time.Hour
	}
	return 6 * time.Hour
}

func TestAMissedDayIsMadeUpForTheNextDayAndNoLater(t *testing.T) {
	t.Parallel()
	b := newBench(t, time.Date(2026, 11, 24, 8, 0, 0, 0, time.UTC)) // a Tuesday
	b.small(t, "local", "UTC", time.Monday, 9)
	steps := []struct {
		at   string
		want int // posts so far
	}{
		{"2026-11-24T10:00", 0}, // founded the day after: nothing was missed
		{"2026-11-30T08:59", 0},
		{"2026-11-30T23:59", 1}, // off from nine to midnight
		{"2026-12-01T09:00", 1},
		{"2026-12-08T08:59", 1}, // off the whole day before
		{"2026-12-08T09:00", 2},
		{"2026-12-08T23:59", 2},
		{"2026-12-14T09:00", 3}, // six days later, on its day again
		{"2026-12-23T09:00", 3}, // off for two days: that week has none
		{"2026-12-28T09:00", 4},
	}
	for _, step := range steps {
		b.tick(t, must(time.Parse("2006-01-02T15:04", step.at))(t))
		if got := len(b.platform.seen); got != step.want {
			t.Errorf("%s: %d posts so far, want %d", step.at, got, step.want)
		}
	}
}

// monday is the hour of a prompt.
var monday = time.Date(2026, 11, 23, 9, 0, 0, 0, time.UTC)

func TestAfterACrashAPromptIsTriedAgainUnderTheSameKey(t *testing.T) {
	t.Parallel()
	for scene, there := range map[string]bool{"before the post": false, "after the post": true} {
		t.Run(scene, func(t *testing.T) {
			t.Parallel()
			b := newBench(t, monday.Add(-time.Hour))
			b.small(t, "local", "UTC", time.Monday, 9)
			b.platform.fault = func(_ Post, now bool) error {
				if now == there {
					panic("the program ends here")
				}
				return nil
			}
			b.tick(t, monday)
			b.platform.fault = nil
			b.store = b.open(t) // started again
			b.tick(t, monday.Add(5*time.Minute))
			if len(b.platform.calls) != 1 {
				t.Fatalf("%d calls while the first may be on its way", len(b.platform.calls))
			}
			b.tick(t, monday.Add(10*time.Minute))
			b.tick(t, monday.Add(30*time.Minute))
			if len(b.platform.calls) != 2 || len(b.platform.seen) != 1 {
				t.Fatalf("%d calls, %d posts, want 2 and 1", len(b.platform.calls), len(b.platform.seen))
			}
			first, second := b.platform.calls[0], b.platform.calls[1]
			if first.Key == "" || second.Key != first.Key || first.Attempt != 1 || second.Attempt != 2 ||
				!second.Begun.Equal(monday) {
				t.Errorf("first %s, %d; then %s, %d, begun %v", first.Key, first.Attempt, second.Key, second.Attempt,
					second.Begun)
			}
		})
	}
}

func TestWhatThePlatformRefusedIsTriedAtTheNextTickAndWhatItNeverTakesIsLeft(t *testing.T) {
	t.Parallel()
	for fault, want := range map[error]int{ErrNotPosted: 3, ErrUnreachable: 1, errors.New("cut off"): 1} {
		b := newBench(t, monday.Add(-time.Hour))
		b.small(t, "local", "UTC", time.Monday, 9)
		b.platform.fault = func(Post, bool) error { return fault }
		for i := range 3 {
			b.tick(t, monday.Add(time.Duration(i)*time.Minute))
		}
		if got := len(b.platform.calls); got != want {
			t.Errorf("%v: called %d times, want %d", fault, got, want)
		}
	}
}

func TestNothingToSayAndNoChannelPostNothing(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday.Add(-30*24*time.Hour))
	silent := b.small(t, "silent", "UTC", time.Monday, 9)
	must(silent.TakeOn(t.Context(), osier, orrick(27), "2026-11-24"))(t)
	off := b.small(t, "off", "UTC", time.Monday, 9)
	gone := b.small(t, "gone", "UTC", time.Monday, 9)
	if err := errors.Join(off.UpdateSettings(t.Context(), func(to *knowledge.Settings) error { to.ReminderChannel = ""; return nil }), gone.Leave(t.Context())); err != nil {
		t.Fatal(err)
	}
	b.clock.set(monday)
	for _, p := range must(Preview(t.Context(), silent, Find("weekly-prompt"), monday))(t) {
		t.Errorf("to be said in a silent community:\n%s", p.Text())
	}
	b.tick(t, monday)
	for _, p := range b.platform.calls {
		if p.Member == "" {
			t.Errorf("posted in %s:\n%s", p.Community, p.Text())
		}
	}
}

func TestAPromptMentionsOnlyThoseWhoUseItAndAgreed(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday.Add(-time.Hour))
	g, ctx := b.small(t, "local", "UTC", time.Monday, 9), t.Context()
	must(g.AddStock(ctx, knowledge.StockItem{Member: millbrook, Combination: orrick(27)}))(t)
	// lantern agrees and holds nothing, osier holds and has not agreed
	for _, m := range []knowledge.Member{millbrook, {Ref: "lantern"}} {
		if err := g.SetChoices(ctx, m, knowledge.Choices{MayMention: true}); err != nil {
			t.Fatal(err)
		}
	}
	b.tick(t, monday)
	if len(b.platform.seen) != 1 || len(b.platform.seen[0].Mentions) != 1 ||
		b.platform.seen[0].Mentions[0] != "millbrook" {
		t.Errorf("posted %+v", b.platform.seen)
	}
}

func TestOneCommunitysTroubleIsNotAnothers(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday.Add(-time.Hour))
	b.small(t, "broken", "UTC", time.Monday, 9)
	b.small(t, "whole", "UTC", time.Monday, 9)
	b.platform.fault = func(p Post, _ bool) error {
		if p.Community == "broken" {
			panic("broken")
		}
		return nil
	}
	b.tick(t, monday)
	if len(b.platform.seen) != 1 || b.platform.seen[0].Community != "whole" {
		t.Errorf("posted %+v", b.platform.seen)
	}
	lines := strings.Split(strings.TrimSpace(b.log.String()), "\n")
	if len(lines) != 1 || !strings.Contains(lines[0], "reference=") ||
		!strings.Contains(lines[0], "community=broken") || !strings.Contains(lines[0], "panic: broken") ||
		!strings.Contains(lines[0], "prompt_test.go") {
		t.Errorf("logged %q", lines)
	}
}

// The lines of a phone of 390 points, 40 columns of text and 53 of small print three
// quarters its size: a prompt with its list and buttons is one screen of it.
func TestThePromptIsOneScreen(t *testing.T) {
	t.Parallel()
	const wordLines, smallLines = 14, 18
	b := newBench(t, monday.AddDate(0, 0, -60))
	g := b.demo(t)
	aWeekOfTests(t, b, g)
	posts := must(Preview(t.Context(), g, Find("weekly-prompt"), monday))(t)
	if len(posts) != 1 || len(posts[0].Card.Picks) != 1 || len(posts[0].Card.Actions) > 2 {
		t.Fatalf("%+v", posts)
	}
	card := posts[0].Card
	card.Actions, card.Picks = nil, nil
	lines := func(columns int) (words, small int) {
		text, print, _ := strings.Cut(card.TextIn(columns), "  – ")
		return strings.Count(text, "\n"), strings.Count(print, "\n")
	}
	words, _ := lines(40)
	_, small := lines(53)
	if words > wordLines || small > smallLines {
		t.Errorf("%d lines of words, %d of small print\n%s", words, small, card.TextIn(40))
	}
}
