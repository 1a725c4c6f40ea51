package jobs

import (
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// quiet founds a community whose prompt is not due on the days of these tests.
func quiet(t *testing.T) (*bench, *knowledge.Group) {
	t.Helper()
	b := newBench(t, monday)
	return b, b.small(t, "local", "UTC", time.Sunday, 9)
}

func TestAClaimIsRemindedOfOnceInPrivateAndLapsesAfterItsDay(t *testing.T) {
	t.Parallel()
	b, g := quiet(t)
	claim := must(g.TakeOn(t.Context(), osier, orrick(27), "2026-11-26"))(t)
	steps := []struct {
		at    string
		posts int
		state knowledge.ClaimState
	}{
		{"2026-11-24T12:00", 0, knowledge.ClaimTaken},
		{"2026-11-25T08:59", 0, knowledge.ClaimTaken}, // nobody is written to before the hour
		{"2026-11-25T09:00", 1, knowledge.ClaimReminded},
		{"2026-11-25T10:00", 1, knowledge.ClaimReminded},
		{"2026-11-26T23:59", 1, knowledge.ClaimReminded},
		{"2026-11-27T00:00", 1, knowledge.ClaimLapsed},
	}
	for _, step := range steps {
		b.tick(t, must(time.Parse("2006-01-02T15:04", step.at))(t))
		state := knowledge.ClaimLapsed
		for _, open := range must(g.Claims(t.Context()))(t) {
			if open.ID == claim.ID {
				state = open.State
			}
		}
		if got := len(b.platform.seen); got != step.posts || state != step.state {
			t.Errorf("%s: %d posts, claim %s, want %d, %s", step.at, got, state, step.posts, step.state)
		}
	}
	b.log.quiet(t)
	if p := b.platform.seen[0]; p.Member != "osier" || p.Channel != "" || len(p.Mentions) > 0 {
		t.Errorf("went to %+v", p)
	}
}

func TestClaimsOfOneMemberAreOneReminder(t *testing.T) {
	t.Parallel()
	b, g := quiet(t)
	for _, gauge := range []int{27, 30} {
		must(g.TakeOn(t.Context(), osier, orrick(gauge), "2026-11-24"))(t)
	}
	must(g.AddInstrument(t.Context(), needle(31)))(t)
	must(g.TakeOn(t.Context(), millbrook, orrick(31), "2026-11-24"))(t)
	b.tick(t, monday.Add(time.Hour))
	b.tick(t, monday.Add(2*time.Hour))
	if len(b.platform.seen) != 2 || len(b.platform.seen[0].Card.Facts) != 2 || len(b.platform.seen[1].Card.Facts) != 1 {
		t.Errorf("posted %+v", b.platform.seen)
	}
}

func TestABenchSessionIsProposedOnceWhenFullAndOnceWhenOld(t *testing.T) {
	t.Parallel()
	b, g := quiet(t)
	put := func(n int) {
		for range n {
			must(g.PutAside(t.Context(), knowledge.BoxItem{Member: osier, Combination: orrick(27)}))(t)
		}
	}
	steps := []struct {
		day, add, posts int
		// the oldest is 28 days old on day 28, said three days before
	}{{0, 4, 0}, {1, 1, 1}, {2, 1, 1}, {24, 0, 1}, {25, 0, 2}, {26, 0, 2}}
	for _, step := range steps {
		now := monday.AddDate(0, 0, step.day)
		b.clock.set(now)
		put(step.add)
		if now.Weekday() == time.Sunday {
			t.Fatal("a prompt would come too")
		}
		b.tick(t, now)
		if got := len(b.platform.seen); got != step.posts {
			t.Errorf("day %d: %d posts, want %d", step.day, got, step.posts)
		}
	}
}

// tested brings orrick on 27G to a settled verdict by tests of a day.
func tested(t *testing.T, g *knowledge.Group, day string) knowledge.VerdictChange {
	t.Helper()
	for i := range 8 {
		must(g.LogTest(t.Context(), shown(orrick(27), [...]knowledge.Member{millbrook, osier}[i%2], day,
			3+0.1*float64(i))))(t)
	}
	changes := commands.NetChanges(must(g.VerdictChanges(t.Context(), time.Time{}))(t))
	if len(changes) != 1 || changes[0].Before != "" || changes[0].After != calc.StateHold {
		t.Fatalf("the verdict went %+v", changes)
	}
	return changes[0]
}

func TestVerdictNewsGoesOnceToThoseWhoAskedAndAgreed(t *testing.T) {
	t.Parallel()
	b, g := quiet(t)
	ctx := t.Context()
	asked := map[string]string{"osier": "2026-11-20", "millbrook": "2026-11-20", "lantern": "2026-09-01",
		"fernhill": "2026-11-25", "quayside": ""}
	for name, day := range asked {
		m := must(g.Admit(ctx, knowledge.Member{Ref: name}))(t)
		if day != "" {
			if err := g.NoteAsked(ctx, m, orrick(27), day); err != nil {
				t.Fatal(err)
			}
		}
		// asked and has not agreed; lantern asked too long ago, fernhill after the change, quayside never asked
		agrees := name != "millbrook"
		if err := g.SetChoices(ctx, m, knowledge.Choices{TellVerdicts: agrees}); err != nil {
			t.Fatal(err)
		}
	}
	tested(t, g, "2026-11-23")
	for hour := range 72 {
		b.tick(t, monday.Add(time.Duration(hour)*time.Hour))
	}
	b.log.quiet(t)
	var to []string
	for _, p := range b.platform.seen {
		to = append(to, p.Member)
	}
	if len(to) != 1 || to[0] != "osier" {
		t.Errorf("told %v, want osier alone", to)
	}
}

func TestAChangeOfTheLogIsNoNews(t *testing.T) {
	t.Parallel()
	b, g := quiet(t)
	ctx := t.Context()
	tested(t, g, "2026-11-23")
	b.clock.set(monday.AddDate(0, 0, 8))
	if err := g.NoteAsked(ctx, osier, orrick(27), "2026-12-01"); err != nil {
		t.Fatal(err)
	}
	if err := g.SetChoices(ctx, osier, knowledge.Choices{TellVerdicts: true}); err != nil {
		t.Fatal(err)
	}
	b.clock.set(monday.AddDate(0, 0, 9))
	for _, test := range must(g.Tests(ctx, knowledge.TestFilter{}))(t) {
		must(g.WithdrawTest(ctx, test.ID, knowledge.Member{Ref: "lantern"}, "wrong gel"))(t)
	}
	changes := must(g.VerdictChanges(ctx, b.clock.read()))(t)
	if len(changes) == 0 || changes[0].Cause != knowledge.LogChanged {
		t.Fatalf("the verdict went %+v", changes)
	}
	b.tick(t, b.clock.read())
	if len(b.platform.seen) > 0 {
		t.Errorf("told %s", b.platform.seen[0].Text())
	}
}
