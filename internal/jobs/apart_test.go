package jobs

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/knowledge/storetest"
	"holdbench/internal/trade"
)

// What is said unasked in one community is the same, word for word and at the same
// hours, whether there is another beside it or not; and doing it leaves the other's
// rows as they are. The jobs come from All.

// hidden is in every name that the other community alone has.
const hidden = "Brackwater"

// drawn fills a community with what gives every job something to say.
func drawn(rt *rapid.T, t *testing.T, g *knowledge.Group, mark string) {
	ctx := t.Context()
	whole := func(label string, low, high int) int { return rapid.IntRange(low, high).Draw(rt, mark+" "+label) }
	must(g.AddProduct(ctx, trade.Product{Name: mark + " Deep", Class: calc.FirmHA}))(t)
	must(g.Admit(ctx, knowledge.Member{Ref: mark + "-member", Name: mark + " Member"}))(t)
	people := []knowledge.Member{osier, millbrook, {Ref: mark + "-member"}}
	gels := []string{"Orrick Mid", mark + " Deep"}
	one := func(label string) trade.Combination {
		c := orrick([]int{27, 30}[whole(label+" gauge", 0, 1)])
		c.Product.Name = gels[whole(label+" gel", 0, 1)]
		return c
	}
	for n := range whole("tests", 1, 5) {
		must(g.LogTest(ctx, shown(one("test"), people[n%3], "2026-11-1"+fmt.Sprint(n),
			float64(whole("tenths", 10, 190))/10)))(t)
	}
	for n := range whole("box", 1, 5) {
		must(g.PutAside(ctx, knowledge.BoxItem{Member: people[n%3], Combination: one("box"), PutOn: "2026-10-01"}))(t)
	}
	for _, member := range people {
		if err := g.SetChoices(ctx, member, knowledge.Choices{MayMention: true, TellVerdicts: true}); err != nil {
			t.Fatal(err)
		}
		if err := g.NoteAsked(ctx, member, one("asked"), "2026-11-10"); err != nil {
			t.Fatal(err)
		}
	}
	for _, member := range people[:2] {
		var taken *knowledge.TakenError // by the other, which is no fault
		if _, err := g.TakeOn(ctx, member, one("claim"), "2026-11-24"); err != nil && !errors.As(err, &taken) {
			t.Fatal(err)
		}
	}
	must(g.LogTest(ctx, shown(one("last"), people[2], "2026-11-19", 2.5)))(t)
	class := must(g.OpenClass(ctx, knowledge.Class{Combination: one("class"), PullML: 0.1, Liquid: "whole milk",
		LiquidC: 20,
		Channel: "400000000000000009"}))(t)
	inClass := shown(class.Combination, people[2], "2026-11-19", 3.5)
	inClass.Class = class.ID
	misread := must(g.LogTest(ctx, inClass))(t)
	right := misread
	right.Seconds, right.SecondsTyped = 3.6, "3.6"
	must(g.CorrectTest(ctx, misread.ID, right, knowledge.Member{Ref: "lantern"}, "misread"))(t)
}

// spoken is what a community is told over three weeks, hour by hour where anything
// is due.
func spoken(t *testing.T, b *bench, g *knowledge.Group, others string) (text string) {
	t.Helper()
	for day := range 21 {
		for _, hour := range []int{7, 9, 17} {
			b.clock.set(time.Date(2026, 11, 20+day, hour, 30, 0, 0, time.UTC))
			for _, job := range All() {
				before := ""
				if others != "" && day%7 == 0 && hour == 9 { // when all of them are due
					before = storetest.RowsOf(t, b.path, others)
				}
				if err := b.runner(b.store).Do(t.Context(), g, job); err != nil {
					t.Errorf("%s: %v", job.Name, err)
				}
				if before != "" && storetest.RowsOf(t, b.path, others) != before {
					t.Errorf("%s of %s changed %s", job.Name, g.Ref(), others)
				}
			}
		}
	}
	for i, post := range b.platform.seen {
		post.Key = "" // drawn anew for each post
		text += fmt.Sprint(b.platform.at[i].Format(time.RFC3339), " ", string(must(json.Marshal(post))(t)), "\n")
	}
	return text
}

// long is what make nightly asks for.
var long = flag.Bool("long", false, "draw more weeks of every job; takes a minute more")

func TestNoJobReachesAnotherCommunity(t *testing.T) {
	t.Parallel()
	said := map[string]bool{}
	seeds := 2 // each is three weeks of every job, twice
	switch {
	case *long:
		seeds = 8
	case testing.Short():
		seeds = 1
	}
	var mu sync.Mutex
	t.Run("seeds", func(t *testing.T) {
		for seed := range seeds {
			t.Run(fmt.Sprint(seed), func(t *testing.T) {
				t.Parallel()
				for _, title := range apart(t, seed) {
					mu.Lock()
					said[title] = true
					mu.Unlock()
				}
			})
		}
	})
	if len(said) < len(All()) && !testing.Short() { // of one draw not every job has something to say
		t.Errorf("only %d things were said by %d jobs: %v", len(said), len(All()), said)
	}
}

// apart does every job in a community, alone and beside another, and returns the
// titles of what was said.
func apart(t *testing.T, seed int) (said []string) {
	t.Helper()
	fill := func(g *knowledge.Group, mark string, seed int) {
		rapid.Custom(func(rt *rapid.T) bool { drawn(rt, t, g, mark); return true }).Example(seed)
	}
	var texts [2]string
	for i, others := range []string{"", "B"} {
		b := newBench(t, time.Date(2026, 11, 20, 7, 0, 0, 0, time.UTC))
		a := b.small(t, "A", "Europe/London", time.Friday, 9)
		if others != "" {
			fill(b.small(t, others, "Europe/Paris", time.Friday, 9), hidden, 1000+seed)
		}
		fill(a, "Aldermere", seed)
		texts[i] = spoken(t, b, a, others)
		b.log.quiet(t)
		for _, post := range b.platform.seen {
			said = append(said, post.Card.Title)
		}
	}
	if texts[0] != texts[1] {
		t.Errorf("it says otherwise beside another community:\nalone  %s\nbeside %s", texts[0], texts[1])
	}
	if strings.Contains(texts[1], hidden) {
		t.Errorf("it tells what is another's:\n%s", texts[1])
	}
	return said
}
