package jobs

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"holdbench/internal/knowledge"
)

// classOfTwo opens a class in a channel, in which two test twice each.
func classOfTwo(t *testing.T, g *knowledge.Group) knowledge.Class {
	t.Helper()
	c := must(g.OpenClass(t.Context(), knowledge.Class{Combination: orrick(27), PullML: 0.1, Liquid: "whole milk",
		LiquidC: 20,
		Channel: "400000000000000009"}))(t)
	for i, by := range []knowledge.Member{osier, osier, millbrook, millbrook} {
		test := shown(orrick(27), by, "2026-11-20", 5+0.3*float64(i))
		test.Class = c.ID
		must(g.LogTest(t.Context(), test))(t)
	}
	return c
}

func TestAClassThatIsOverIsShownOnceInItsChannel(t *testing.T) {
	t.Parallel()
	opened := monday.Add(5 * time.Hour)
	b := newBench(t, opened)
	g := b.small(t, "local", "UTC", time.Friday, 9)
	classOfTwo(t, g)
	r := b.runner(b.store)
	for minutes := 0; minutes <= 180; minutes += 5 {
		b.clock.set(opened.Add(time.Duration(minutes) * time.Minute))
		r.Tick(t.Context())
		if minutes == 60 {
			r = b.runner(b.store) // started anew
		}
	}
	var over []Post
	for _, p := range b.platform.seen {
		if strings.Contains(p.Card.Title, "Class over") {
			over = append(over, p)
		}
	}
	if len(over) != 1 || over[0].Channel != "400000000000000009" || over[0].Card.Picture == nil {
		t.Fatalf("shown %d times: %+v", len(over), over)
	}
	if at := b.platform.at[len(b.platform.at)-1]; at.Before(opened.Add(time.Hour)) ||
		at.After(opened.Add(time.Hour+5*time.Minute)) {
		t.Errorf("shown %s after it was opened", at.Sub(opened))
	}
	for _, name := range []string{"osier", "millbrook"} {
		if strings.Contains(over[0].Text(), name) || strings.Contains(over[0].Card.Picture.Alt, name) {
			t.Errorf("%s is named:\n%s", name, over[0].Text())
		}
	}
	b.log.quiet(t)
}

// A trainer who ended it saw what it found; an empty one found nothing; a channel that is
// gone is no matter of the reminders.
func TestOfSomeClassesNothingIsSaid(t *testing.T) {
	t.Parallel()
	opened := monday.Add(5 * time.Hour)
	for scene, do := range map[string]func(*bench, *knowledge.Group){
		"ended by hand": func(_ *bench, g *knowledge.Group) { must(g.EndClass(t.Context(), classOfTwo(t, g).ID))(t) },
		"empty": func(_ *bench, g *knowledge.Group) {
			must(g.OpenClass(t.Context(), knowledge.Class{Combination: orrick(27), PullML: 0.1, Liquid: "whole milk",
				LiquidC: 20, Channel: "4"}))(t)
		},
		"its channel is gone": func(b *bench, g *knowledge.Group) {
			classOfTwo(t, g)
			b.platform.fault = func(Post, bool) error { return fmt.Errorf("%w: deleted", ErrClosed) }
		},
	} {
		b := newBench(t, opened)
		g := b.small(t, "local", "UTC", time.Friday, 9)
		do(b, g)
		b.clock.set(opened.Add(2 * time.Hour))
		r := b.runner(b.store)
		for range 2 {
			if err := r.Do(t.Context(), g, Find("class-over")); err != nil {
				t.Errorf("%s: %v", scene, err)
			}
		}
		if len(b.platform.seen) != 0 || len(b.platform.calls) > 1 {
			t.Errorf("%s: %d posts, tried %d times", scene, len(b.platform.seen), len(b.platform.calls))
		}
	}
}
