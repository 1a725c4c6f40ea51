package jobs

import (
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
)

func TestTheWallChartIsEditedWhenTheCoverageChanges(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	b := newBench(t, now)
	g := b.demo(t)
	ctx := t.Context()
	chart := func() (posts []Post) {
		for _, p := range b.platform.calls {
			if p.Channel == "500000000000000002" {
				posts = append(posts, p)
			}
		}
		return posts
	}
	b.tick(t, now)
	if err := g.KeepCoveragePost(ctx, "500000000000000002"); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		b.tick(t, now)
	}
	first := chart()
	if len(first) != 1 || first[0].Edit != "" || first[0].Card.Picture == nil || first[0].Key == "" ||
		!strings.Contains(first[0].Text(), "25 of 120 combinations tested, 144 tests in all") || // config/demo
		!strings.Contains(first[0].Text(), "Coverage of Saltmarsh Lane Study Circle, as of 2026-11-25") ||
		!strings.Contains(first[0].Text(), "not for a similar one") {
		t.Fatalf("%d posts: %s", len(first), first[0].Text())
	}
	id := "message " + first[0].Key
	must(g.LogTest(ctx, shown(orrick(27), osier, "2026-11-25", 3.3)))(t)
	b.tick(t, now.Add(time.Minute))
	if edit := chart(); len(edit) != 2 || edit[1].Edit != id || !strings.Contains(edit[1].Text(), "145 tests in all") {
		t.Fatalf("%d posts", len(edit))
	}
	b.tick(t, now.AddDate(0, 0, 1)) // nothing new but the day
	if edit := chart(); len(edit) != 3 || !strings.Contains(edit[2].Text(), "as of 2026-11-26") {
		t.Fatalf("%d posts", len(edit))
	}

	// Somebody deletes it: a new one is posted at the next change.
	b.platform.fault = func(p Post, there bool) error {
		if p.Edit != "" {
			return ErrGone
		}
		return nil
	}
	b.tick(t, now.AddDate(0, 0, 2))
	all := chart()
	if last := all[len(all)-1]; len(all) != 5 || last.Edit != "" || last.Key == first[0].Key {
		t.Fatalf("%d posts, the last %+v", len(all), last.Edit)
	}
	b.log.quiet(t)

	// A channel that is closed is told to the trainer, once.
	b.platform.fault = func(p Post, there bool) error {
		if p.Channel != "" {
			return ErrClosed
		}
		return nil
	}
	for day := range 3 {
		b.tick(t, now.AddDate(0, 0, 3+day))
	}
	told := 0
	for _, p := range b.platform.seen {
		if p.Member != "" && p.Card.Channel == "500000000000000002" {
			told++
		}
	}
	if told != 1 {
		t.Errorf("told %d times", told)
	}
}

func TestAWallChartOfNothingSaysSo(t *testing.T) {
	t.Parallel()
	b := newBench(t, time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC))
	g := b.small(t, "300000000000000007", "Europe/London", time.Monday, 8)
	_, draw, err := commands.WallChart(t.Context(), g, b.clock.read())
	if err != nil {
		t.Fatal(err)
	}
	if card := must(draw())(t); !strings.Contains(card.Text(), "untested") {
		t.Error(card.Text())
	}
}
