package knowledge

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

func TestEveryChangeIsOnRecordTheLatestFirst(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	mid, twin := twoProducts(t, g)
	minute := 0
	next := func() { minute++; clock.set(stopped.Add(time.Duration(minute) * time.Minute)) }
	first := must(g.LogTest(ctx, shown(2)))(t)
	next()
	must(g.WithdrawTest(ctx, first.ID, lantern, "wrong box"))(t)
	next()
	must(g.RestoreTest(ctx, first.ID, lantern, "right after all"))(t)
	next()
	must(g.CheckTest(ctx, first.ID, lantern))(t)
	next()
	must(g.CorrectTest(ctx, first.ID, shown(3), osier, "misread"))(t)
	next()
	must(g.AddAlias(ctx, twin.ID, "the twin", osier))(t)
	next()
	must(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "one box"))(t)
	var got []string
	for _, c := range must(g.Changes(ctx, ChangeFilter{}))(t) {
		got = append(got, fmt.Sprintf("%s by %s %d: %s", c.Action, c.By.Ref, int(c.At.Sub(stopped).Minutes()),
			c.Reason))
		if c.Product != "Orrick Mid" || c.ProductID != mid.ID {
			t.Errorf("of %d %q", c.ProductID, c.Product)
		}
	}
	want := []string{"merged by lantern 6: one box", "name added by osier 5: ", "corrected by osier 4: misread",
		"logged by osier 4: ",
		"checked by lantern 3: ", "restored by lantern 2: right after all", "withdrawn by lantern 1: wrong box",
		"logged by osier 0: "}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	trainer := must(g.Member(ctx, "lantern"))(t)
	for scene, f := range map[string]struct {
		filter ChangeFilter
		want   int
	}{
		"one test":    {ChangeFilter{TestID: first.ID}, 5},
		"one member":  {ChangeFilter{MemberID: trainer.ID}, 4},
		"since":       {ChangeFilter{Since: stopped.Add(5 * time.Minute)}, 2},
		"the last":    {ChangeFilter{Limit: 3}, 3},
		"no product":  {ChangeFilter{ProductID: twin.ID}, 0},
		"its product": {ChangeFilter{ProductID: mid.ID}, 8},
	} {
		if n := len(must(g.Changes(ctx, f.filter))(t)); n != f.want {
			t.Errorf("%s: %d changes, want %d", scene, n, f.want)
		}
	}
}

func TestImportedTestsAreOnRecordAsImported(t *testing.T) {
	t.Parallel()
	g := demo(t, openStore(t), "demo")
	changes := must(g.Changes(t.Context(), ChangeFilter{}))(t)
	if len(changes) != len(must(g.Tests(t.Context(), TestFilter{}))(t)) {
		t.Errorf("%d changes", len(changes))
	}
	for _, c := range changes {
		if c.Action != Imported {
			t.Errorf("got %+v", c)
		}
	}
}

func TestFlaggedTestsAreListedUntilTheyAreCheckedOrWithdrawn(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	logMany(t, g, needle(27, 13), 12, 2)
	slip := must(g.LogTest(ctx, shown(29)))(t)
	other := must(g.LogTest(ctx, shown(28)))(t)
	flagged := must(g.Flagged(ctx))(t)
	if len(flagged) != 2 || flagged[0].Checked != nil || !(flagged[0].Test.Slip > flaggedAbove) {
		t.Fatalf("got %s", flaggedly(flagged, nil))
	}
	likeliest := flagged[0].Test.ID
	must(g.CheckTest(ctx, likeliest, osier))(t)
	last := must(g.CheckTest(ctx, likeliest, lantern))(t)
	flagged = must(g.Flagged(ctx))(t)
	if len(flagged) != 2 || flagged[0].Checked != nil || flagged[1].Test.ID != likeliest ||
		*flagged[1].Checked != last || last.By.Ref != "lantern" {
		t.Errorf("after checking: %s", flaggedly(flagged, nil))
	}
	for _, id := range []int64{slip.ID, other.ID} {
		must(g.WithdrawTest(ctx, id, lantern, "stopper stuck"))(t)
	}
	if flagged := must(g.Flagged(ctx))(t); len(flagged) != 0 {
		t.Errorf("after withdrawing: %s", flaggedly(flagged, nil))
	}
	if _, err := g.CheckTest(ctx, 999, lantern); !errors.Is(err, ErrNotFound) {
		t.Errorf("a test that is not there: %v", err)
	}
}

func TestATesterWhoDiffersIsSeen(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	third := must(g.Admit(ctx, Member{Ref: "third"}))(t)
	must(g.Admit(ctx, Member{Ref: "idle"}))(t)
	log := func(m Member, i trade.Instrument, seconds float64) {
		test := shown(seconds)
		test.Tester, test.Combination.Instrument = m, i
		must(g.LogTest(ctx, test))(t)
	}
	for _, i := range []trade.Instrument{needle(27, 13), needle(29, 13), needle(27, 19)} {
		for k, seconds := range []float64{4.0, 4.4, 3.7, 4.1} {
			log(osier, i, seconds)
			log(lantern, i, seconds*[]float64{1.05, 0.96, 1.02, 0.98}[k])
			log(third, i, seconds*2) // a slow hand
		}
	}
	got := must(g.Testers(ctx))(t)
	if len(got) != 4 {
		t.Fatalf("got %+v", got)
	}
	for _, s := range got {
		switch s.Member.ID {
		case third.ID:
			if !s.Differs || math.Abs(s.Ratio-2) > 0.1 || !(s.Low > 1) || s.Tests != 12 || s.Combinations != 3 {
				t.Errorf("the slow hand: %+v", s)
			}
		default:
			if s.Differs || s.Member.Ref == "idle" && (s.Tests != 0 || s.Ratio != 0) {
				t.Errorf("got %+v", s)
			}
		}
	}
}

func TestTestersAreNotComparedWhereNobodyRepeats(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	for i, m := range []Member{osier, lantern} {
		test := shown(float64(2 + 10*i))
		test.Tester = m
		must(g.LogTest(ctx, test))(t)
	}
	for _, s := range must(g.Testers(ctx))(t) {
		if s.Differs || s.Tests != 1 || s.Ratio != 0 {
			t.Errorf("got %+v", s)
		}
	}
}

func TestAClassIsGivenOnceAndHeldAgainstTheList(t *testing.T) {
	t.Parallel()
	g, ctx := found(t, openStore(t), "local"), t.Context()
	m := must(g.Admit(ctx, Member{Ref: "osier"}))(t)
	p := must(g.AddProduct(ctx, trade.Product{Name: "New", Class: calc.UnknownGel}))(t)
	if p = must(g.SetClass(ctx, p.ID, calc.SoftHA, m, ""))(t); p.Class != calc.SoftHA {
		t.Errorf("got %+v", p)
	}
	must(g.SetClass(ctx, p.ID, calc.SoftHA, m, ""))(t)
	if n := len(must(g.Changes(ctx, ChangeFilter{}))(t)); n != 1 {
		t.Errorf("%d changes on record", n)
	}
}
