package knowledge

import (
	"testing"

	"holdbench/internal/calc"
)

// checkCoverage holds the coverage against what is answered of each combination,
// one by one, and against the lists of what is tested and stocked.
func checkCoverage(t *testing.T, g *Group) (tested, untested int) {
	t.Helper()
	ctx := t.Context()
	seen := map[combinationKey]CoveredCombination{}
	for _, c := range must(g.Coverage(ctx))(t) {
		if _, twice := seen[keyOf(c.Combination)]; twice {
			t.Errorf("%s is there twice", c.Combination)
		}
		seen[keyOf(c.Combination)] = c
		e := must(g.Evidence(ctx, c.Combination, 0))(t)
		want := e.State
		if !e.Tested {
			want = ""
			untested++
		} else {
			tested++
		}
		if c.Tests != e.Counts.Run || c.State != want {
			t.Errorf("%s: %d tests, %q; the answer says %d, %q", c.Combination, c.Tests, c.State, e.Counts.Run, want)
		}
	}
	for _, one := range must(g.Tested(ctx))(t) {
		if seen[keyOf(one.Combination)].Tests != one.Tests {
			t.Errorf("%s: %+v, tested %d times", one.Combination, seen[keyOf(one.Combination)], one.Tests)
		}
	}
	for _, s := range must(g.Stocked(ctx))(t) {
		if seen[keyOf(s.Combination)].Holders != s.Holders {
			t.Errorf("%s: %+v, held by %d", s.Combination, seen[keyOf(s.Combination)], s.Holders)
		}
	}
	return tested, untested
}

func TestCoverageSaysWhatEachAnswerSays(t *testing.T) {
	t.Parallel()
	g, ctx := demo(t, openStore(t), "local"), t.Context()
	if tested, untested := checkCoverage(t, g); tested < 20 || untested < 5 {
		t.Fatalf("%d tested, %d untested", tested, untested)
	}
	// What was said by another rule is nothing by this one.
	for _, ceiling := range []calc.Seconds{3, 30} {
		if err := g.UpdateSettings(ctx, func(to *Settings) error { to.Ceiling = ceiling; return nil }); err != nil {
			t.Fatal(err)
		}
		checkCoverage(t, g)
	}
	// Written past the settings, so that nothing is said anew by itself.
	if err := g.store.inTx(ctx, func(q querier) error {
		_, err := q.Exec(ctx, `UPDATE communities SET target_share = 0.95 WHERE id = ?`, g.id)
		return err
	}); err != nil {
		t.Fatal(err)
	}
	checkCoverage(t, g)
	if err := setLeast(ctx, g, 6, 3); err != nil {
		t.Fatal(err)
	}
	checkCoverage(t, g)
}

func TestCoverageSeesWhatWasJustLoggedAndWithdrawn(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	if got := must(g.Coverage(ctx))(t); len(got) != 0 {
		t.Errorf("a new group covers %+v", got)
	}
	test := must(g.LogTest(ctx, shown(3)))(t)
	if tested, untested := checkCoverage(t, g); tested != 1 || untested != 0 {
		t.Errorf("after one test: %d tested, %d untested", tested, untested)
	}
	must(g.WithdrawTest(ctx, test.ID, Member{Ref: "osier"}, "wrong gel"))(t)
	if got := must(g.Coverage(ctx))(t); len(got) != 0 {
		t.Errorf("a withdrawn test covers %+v", got)
	}
	must(g.AddStock(ctx, StockItem{Member: Member{Ref: "osier"}, Combination: orrickOn27()}))(t)
	if tested, untested := checkCoverage(t, g); tested != 0 || untested != 1 {
		t.Errorf("in stock: %d tested, %d untested", tested, untested)
	}
}
