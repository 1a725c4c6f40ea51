package knowledge

import (
	"errors"
	"testing"
	"time"

	"holdbench/internal/trade"
)

// A trainer corrects a member's test: the old row stays, the history says by whom, and
// the member can be told. What is taken back is as it was.
func TestACorrectionByATrainerIsOnRecordAndCanBeTakenBack(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	old := must(g.LogTest(ctx, shown(37.1-10)))(t)
	before := asShown(must(g.Evidence(ctx, orrickOn27(), 0))(t))
	now := old
	now.Seconds, now.SecondsTyped, now.TestedOn = 7.31, "7.31", "2026-11-19"
	stands := must(g.CorrectTest(ctx, old.ID, now, lantern, "misread"))(t)
	if stands.Corrects != old.ID || stands.Seconds != 7.31 || stands.Tester.ID != old.Tester.ID ||
		stands.TestedOn != "2026-11-19" {
		t.Errorf("stored %+v", stands)
	}
	if kept := must(g.Test(ctx, old.ID))(t); kept.State != Withdrawn || kept.Seconds != old.Seconds {
		t.Errorf("the old row: %+v", kept)
	}
	history := must(g.History(ctx, old.ID))(t)
	if last := history[len(history)-1]; last.Action != CorrectedAct || last.By.Ref != lantern.Ref ||
		last.Reason != "misread" {
		t.Errorf("history: %+v", history)
	}
	if asShown(must(g.Evidence(ctx, orrickOn27(), 0))(t)) == before {
		t.Error("the estimate is that of the old seconds")
	}
	told := must(g.Corrections(ctx, stopped.Add(-time.Hour)))(t)
	if len(told) != 1 || told[0].Old.ID != old.ID || told[0].New.ID != stands.ID || told[0].By.Ref != lantern.Ref {
		t.Errorf("to be told: %+v", told)
	}
	must(g.RestoreTest(ctx, old.ID, osier, "it was right"))(t)
	if asShown(must(g.Evidence(ctx, orrickOn27(), 0))(t)) != before {
		t.Error("taken back, and the answer is another")
	}
	if _, err := g.StandsInFor(ctx, old.ID); !errors.Is(err, ErrNotFound) {
		t.Errorf("still stood in for: %v", err)
	}
	if told := must(g.Corrections(ctx, stopped.Add(-time.Hour)))(t); len(told) != 0 {
		t.Errorf("told of what was taken back: %+v", told)
	}
}

// One trial counts once, however often it is corrected and put back.
func TestOfATestCorrectedTwiceOneCounts(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	first := must(g.LogTest(ctx, shown(3)))(t)
	on30 := shown(3)
	on30.Combination.Instrument = needle(30, 13)
	second := must(g.CorrectTest(ctx, first.ID, on30, first.Tester, "the 30G was on"))(t)
	third := must(g.CorrectTest(ctx, second.ID, shown(4), first.Tester, "no, the 27G"))(t)
	if stands := must(g.StandsInFor(ctx, first.ID))(t); stands.ID != third.ID {
		t.Errorf("%d stands in", stands.ID)
	}
	if own := must(g.Corrections(ctx, stopped.Add(-time.Hour)))(t); len(own) != 0 {
		t.Errorf("the maker is told of their own: %+v", own)
	}
	must(g.RestoreTest(ctx, first.ID, first.Tester, "right at first"))(t)
	kept := must(g.Tests(ctx, TestFilter{State: Kept}))(t)
	if len(kept) != 1 || kept[0].ID != first.ID {
		t.Errorf("counting: %+v", kept)
	}
	for _, c := range must(g.Tested(ctx))(t) {
		if want := map[int]int{27: 1, 30: 0}[c.Combination.Instrument.Gauge]; c.Tests != want {
			t.Errorf("%s: %d tests, want %d", c.Combination, c.Tests, want)
		}
	}
	var field *trade.FieldError
	if _, err := g.CorrectTest(ctx, second.ID, shown(5), first.Tester, "again"); !errors.As(err, &field) {
		t.Errorf("what does not count is corrected: %v", err)
	}
}
