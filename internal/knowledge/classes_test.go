package knowledge

import (
	"errors"
	"math"
	"testing"
	"time"

	"holdbench/internal/trade"
)

// onOrrick is a class on a combination of every small community.
func onOrrick() Class {
	return Class{Combination: orrickOn27(), PullML: 0.1, Liquid: "whole milk", LiquidC: 21, Channel: "bench"}
}

// inClass is a test of a class.
func inClass(c Class, ref string, seconds float64) BenchTest {
	t := shown(seconds)
	t.Class, t.Tester, t.PullML = c.ID, Member{Ref: ref}, c.PullML
	return t
}

func TestAClassIsOpenForAnHourAndOnceInAChannel(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	c := must(g.OpenClass(ctx, onOrrick()))(t)
	if again := must(g.OpenClass(ctx, onOrrick()))(t); again.ID != c.ID || !again.Open ||
		again.ClosesAt.Sub(again.OpenedAt) != time.Hour {
		t.Errorf("opened twice: %+v, then %+v", c, again)
	}
	other := onOrrick()
	other.PullML = 0.2
	if _, err := g.OpenClass(ctx, other); !errors.Is(err, ErrClassOpen) {
		t.Errorf("another one in the same channel: %v", err)
	}
	other.Channel = "elsewhere"
	must(g.OpenClass(ctx, other))(t)
	must(g.LogTest(ctx, inClass(c, "osier", 3)))(t)
	must(g.LogTest(ctx, inClass(c, "lantern", 3.2)))(t)
	must(g.LogTest(ctx, shown(9)))(t) // in no class
	clock.set(clock.read().Add(time.Hour - time.Second))
	if now := must(g.ClassIn(ctx, "bench"))(t); !now.Open || now.Tests != 2 || now.Testers != 2 {
		t.Errorf("a second before its end: %+v", now)
	}
	clock.set(clock.read().Add(time.Second))
	if now := must(g.Class(ctx, c.ID))(t); now.Open || now.EndedByHand() {
		t.Errorf("at its end: %+v", now)
	}
	var field *trade.FieldError
	if _, err := g.LogTest(ctx, inClass(c, "osier", 3.3)); !errors.As(err, &field) || field.Field != "class" {
		t.Errorf("a test after its end: %v", err)
	}
	if over := must(g.ClassesOver(ctx, clock.read().Add(-time.Minute)))(t); len(over) != 2 || over[0].ID != c.ID {
		t.Errorf("over: %+v", over)
	}
	if over := must(g.ClassesOver(ctx, clock.read().Add(time.Minute)))(t); len(over) != 0 {
		t.Errorf("over since a time to come: %+v", over)
	}
	if next := must(g.OpenClass(ctx, onOrrick()))(t); next.ID == c.ID || !next.Open {
		t.Errorf("the next one: %+v", next)
	}
}

func TestAClassThatWasEndedIsNotOverByItself(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	c := must(g.OpenClass(ctx, onOrrick()))(t)
	logged := must(g.LogTest(ctx, inClass(c, "osier", 3)))(t)
	clock.set(clock.read().Add(10 * time.Minute))
	ended := must(g.EndClass(ctx, c.ID))(t)
	clock.set(clock.read().Add(10 * time.Minute))
	if again := must(g.EndClass(ctx, c.ID))(t); ended.Open || !again.EndedByHand() ||
		!again.ClosesAt.Equal(ended.ClosesAt) {
		t.Errorf("ended %+v, then %+v", ended, again)
	}
	if over := must(g.ClassesOver(ctx, clock.read().Add(-time.Hour)))(t); len(over) != 0 {
		t.Errorf("over: %+v", over)
	}
	// A slip of the pen is put right afterwards: it stays a test of the class.
	right := logged
	right.Seconds, right.SecondsTyped, right.RequestKey = 3.3, "3.3", ""
	must(g.CorrectTest(ctx, logged.ID, right, Member{Ref: "osier"}, "read again"))(t)
	if r := must(g.ClassSpread(ctx, c.ID))(t); len(r.Made) != 1 || r.Made[0].Seconds != 3.3 || r.Tests != 1 {
		t.Errorf("got %+v", r)
	}
}

// Three hands with two tests each, ln time at the hand's mean ± 0.1; the hands' means are
// −0.2, 0 and 0.2 from theirs. By ISO 5725-2, 7.4: s_r² = 3 (0.1² + 0.1²)/3 = 0.02,
// s_d² = 2 (0.2² + 0 + 0.2²)/2 = 0.08, s_L² = (0.08 − 0.02)/2 = 0.03, s_R² = 0.05.
func TestTheSpreadOfAClassIsThatOfItsTests(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	must(g.Admit(ctx, Member{Ref: "quayside"}))(t)
	c := must(g.OpenClass(ctx, onOrrick()))(t)
	for ref, m := range map[string]float64{"osier": -0.2, "lantern": 0, "quayside": 0.2} {
		for _, d := range []float64{-0.1, 0.1} {
			must(g.LogTest(ctx, inClass(c, ref, math.Exp(1.5+m+d))))(t)
		}
	}
	for _, seconds := range []float64{15, 19} { // the same set-up, in no class
		must(g.LogTest(ctx, shown(seconds)))(t)
	}
	r := must(g.ClassSpread(ctx, c.ID))(t)
	if len(r.Made) != 6 || r.Tests != 6 || r.Testers != 3 || r.Measured == nil {
		t.Fatalf("got %+v", r)
	}
	for _, v := range []struct {
		name      string
		got, want float64
	}{
		{"repeatability", r.Measured.Repeatability.Value, math.Sqrt(0.02)},
		{"reproducibility", r.Measured.Reproducibility.Value, math.Sqrt(0.05)},
	} {
		if math.Abs(v.got-v.want) > 1e-9 {
			t.Errorf("%s %.6f, want %.6f", v.name, v.got, v.want)
		}
	}
	// Against the mean of the two others: exp(−0.3), exp(0), exp(0.3).
	if len(r.Hands) != 3 {
		t.Fatalf("hands %+v", r.Hands)
	}
	want := map[string]float64{"osier": -0.3, "lantern": 0, "quayside": 0.3}
	for _, h := range r.Hands {
		if math.Abs(math.Log(h.Ratio)-want[h.Member.Ref]) > 1e-9 || !(h.Low < h.Ratio && h.Ratio < h.High) ||
			h.Differs {
			t.Errorf("hand %+v", h)
		}
	}
	lone := must(g.OpenClass(ctx, Class{Combination: orrickOn27(), PullML: 0.2, Liquid: "water", LiquidC: 20,
		Channel: "elsewhere"}))(t)
	must(g.LogTest(ctx, inClass(lone, "osier", 2)))(t)
	if r := must(g.ClassSpread(ctx, lone.ID))(t); r.Measured != nil || len(r.Hands) != 0 || len(r.Made) != 1 {
		t.Errorf("one test: %+v", r)
	}
}
