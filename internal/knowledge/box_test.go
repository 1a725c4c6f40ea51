package knowledge

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"
	"testing"
	"time"

	"holdbench/internal/trade"
)

// aside puts a syringe of orrickOn27 in the box of small.
func aside(t testing.TB, g *Group, m Member, day string) BoxItem {
	t.Helper()
	return must(g.PutAside(t.Context(), BoxItem{Member: m, Combination: orrickOn27(), PutOn: day}))(t)
}

// labels are what waits in the box.
func labels(t testing.TB, g *Group) (labels []string) {
	t.Helper()
	for _, item := range must(g.Box(t.Context(), 0))(t) {
		labels = append(labels, item.Label())
	}
	return labels
}

func TestTheLowestFreePlaceIsTaken(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	var items []BoxItem
	for range 4 {
		items = append(items, aside(t, g, osier, "2026-11-20"))
	}
	if got := labels(t, g); !slices.Equal(got, []string{"B-1", "B-2", "B-3", "B-4"}) {
		t.Errorf("got %v", got)
	}
	must(g.TakeOut(ctx, items[2].ID, osier))(t)
	thrown := must(g.TakeOut(ctx, items[0].ID, lantern))(t)
	if thrown.State != BoxThrownAway || !thrown.LeftAt.Equal(stopped) {
		t.Errorf("got %+v", thrown)
	}
	if a, b, c := aside(t, g, lantern, ""), aside(t, g, osier, ""), aside(t, g, osier, ""); a.Number != 1 ||
		b.Number != 3 || c.Number != 5 || a.PutOn != "2026-11-25" {
		t.Errorf("got %+v, %+v, %+v", a, b, c)
	}
	if mine := must(g.Box(ctx, must(g.Member(ctx, "lantern"))(t).ID))(t); len(mine) != 1 || mine[0].Number != 1 {
		t.Errorf("the trainer's: %+v", mine)
	}
}

func TestWhatCannotBePutAsideOrTakenOut(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	var field *trade.FieldError
	if _, err := g.PutAside(ctx, BoxItem{Member: osier, Combination: orrickOn27(),
		PutOn: "2026-11-26"}); !errors.As(err, &field) {
		t.Errorf("tomorrow: %v", err)
	}
	if _, err := g.PutAside(ctx, BoxItem{Member: Member{Ref: "nobody"}, Combination: orrickOn27()}); !errors.Is(err,
		ErrNotFound) {
		t.Errorf("nobody's: %v", err)
	}
	if _, err := g.PutAside(ctx, BoxItem{Member: osier, Combination: trade.Combination{Product: trade.Product{Name: "Orrick Mid"}}}); !errors.As(err, &field) {
		t.Errorf("without a needle: %v", err)
	}
	item := aside(t, g, osier, "")
	must(g.TakeOut(ctx, item.ID, osier))(t)
	if _, err := g.TakeOut(ctx, item.ID, osier); !errors.As(err, &field) {
		t.Errorf("a second time: %v", err)
	}
	if _, err := g.TakeOut(ctx, item.ID+1, osier); !errors.Is(err, ErrNotFound) {
		t.Errorf("not there: %v", err)
	}
}

func TestManyPutAsideAtOnceAndEachGetsAPlace(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	var all sync.WaitGroup
	for i := range 12 {
		all.Go(func() {
			// each pressed twice
			item := BoxItem{Member: osier, Combination: orrickOn27(), RequestKey: fmt.Sprint(i % 6)}
			if _, err := g.PutAside(t.Context(), item); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if got := labels(t, g); !slices.Equal(got, []string{"B-1", "B-2", "B-3", "B-4", "B-5", "B-6"}) {
		t.Errorf("got %v", got)
	}
}

func TestABenchSessionIsProposedWhenTheBoxIsFullOrGetsOld(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	for range 4 {
		aside(t, g, osier, "2026-11-20")
	}
	aside(t, g, lantern, "2026-10-31") // another member's box
	if due := must(g.BoxProposals(ctx, "2026-11-24"))(t); len(due) != 0 {
		t.Errorf("too early: %+v", due)
	}
	due := must(g.BoxProposals(ctx, "2026-11-25"))(t) // 25 days old, three before the set age
	if len(due) != 1 || due[0].Member.Ref != "lantern" || due[0].Full || due[0].Oldest != "2026-10-31" ||
		len(due[0].Items) != 1 {
		t.Errorf("an old one: %+v", due)
	}
	aside(t, g, osier, "2026-11-25")
	due = must(g.BoxProposals(ctx, "2026-11-24"))(t)
	if len(due) != 1 || due[0].Member.Ref != "osier" || !due[0].Full || len(due[0].Items) != 5 {
		t.Errorf("a full one: %+v", due)
	}
	aside(t, g, osier, "2026-11-25")
	if more := must(g.BoxProposals(ctx, "2026-11-24"))(t); more[0].Key != due[0].Key {
		t.Error("a sixth item has the same session proposed again")
	}
	if old := must(g.BoxProposals(ctx, "2026-12-20"))(t); len(old) != 2 || old[0].Key == due[0].Key {
		t.Errorf("when the full box gets old it is proposed once more: %+v", old)
	}
	if err := g.UpdateSettings(ctx, func(to *Settings) error { to.BoxItems, to.BoxDays = 7, 60; return nil }); err != nil {
		t.Fatal(err)
	}
	if due := must(g.BoxProposals(ctx, "2026-11-25"))(t); len(due) != 0 {
		t.Errorf("by other limits: %+v", due)
	}
}

func TestABatchKeepsTheGoodAndNamesTheBad(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	on30 := orrickOn27()
	on30.Instrument = needle(30, 13)
	aside(t, g, osier, "2026-11-20")
	must(g.PutAside(ctx, BoxItem{Member: osier, Combination: on30}))(t)
	aside(t, g, osier, "2026-11-20")
	aside(t, g, osier, "2026-11-20")
	must(g.TakeOn(ctx, lantern, on30, ""))(t)
	none, late := shown(0), shown(40)
	none.Outcome = None
	results := []BoxResult{
		{Number: 1, Test: shown(3.4)}, {Number: 2, Test: none}, {Number: 3, Test: late}, // later than it was watched
		{Number: 8, Test: shown(2)}, {Number: 4, Test: shown(2)}, {Number: 4, Test: late},
	}
	results[1].Test.TestedOn = ""
	became := must(g.LogBatch(ctx, lantern, "message 1", results))(t)
	for i, stored := range []bool{true, true, false, false, false, false} {
		if o := became[i]; o.Number != results[i].Number || stored != (o.Problem == nil) || stored != (o.Test.ID != 0) {
			t.Errorf("result %d: %+v", i, o)
		}
	}
	if p := became[3].Problem; p.Field != "B-8" {
		t.Errorf("an empty place: %v", p)
	}
	if p := became[2].Problem; p.Field != "seconds" {
		t.Errorf("a wrong time: %v", p)
	}
	second := became[1].Test
	if second.Combination.Instrument.Gauge != 30 || second.Tester.Ref != "lantern" || second.TestedOn != "2026-11-25" ||
		second.State != Kept {
		t.Errorf("got %+v", second)
	}
	// One result of B-4 is yet to be put right, so it stays whole.
	if p := became[4].Problem; p.Error() != "B-4: is kept back with another result of the same syringe" {
		t.Errorf("a good result beside a bad one: %v", p)
	}
	if got := labels(t, g); !slices.Equal(got, []string{"B-3", "B-4"}) {
		t.Errorf("left in the box: %v", got)
	}
	if n := len(must(g.Tests(ctx, TestFilter{}))(t)); n != 2 {
		t.Errorf("%d tests", n)
	}
	if closed := must(g.Closed(ctx, "2026-11-25"))(t); len(closed) != 1 || closed[0].Test.ID != second.ID {
		t.Errorf("the claim: %+v", closed)
	}
}

func TestABatchSentTwiceIsStoredOnce(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	aside(t, g, osier, "2026-11-20")
	aside(t, g, osier, "2026-11-20")
	late := shown(40)
	results := []BoxResult{{Number: 1, Test: shown(3.4)}, {Number: 2, Test: late}, {Number: 3, Test: shown(2)}}
	first := must(g.LogBatch(ctx, osier, "message 1", results))(t)
	clock.set(stopped.Add(24 * time.Hour))
	aside(t, g, osier, "2026-11-25") // B-1 again: another syringe
	aside(t, g, osier, "2026-11-25") // B-3, which was empty then
	again := must(g.LogBatch(ctx, osier, "message 1", results))(t)
	for i := range first {
		if first[i].Test.ID != again[i].Test.ID || first[i].Item.ID != again[i].Item.ID ||
			(first[i].Problem == nil) != (again[i].Problem == nil) {
			t.Errorf("result %d: first %+v, then %+v", i, first[i], again[i])
		}
	}
	if got := labels(t, g); !slices.Equal(got, []string{"B-1", "B-2", "B-3"}) {
		t.Errorf("in the box: %v", got)
	}
	if n := len(must(g.Tests(ctx, TestFilter{}))(t)); n != 1 {
		t.Errorf("%d tests", n)
	}
	if b := must(g.LogBatch(ctx, osier, "message 2", []BoxResult{{Number: 1, ItemID: first[0].Item.ID,
		Test: shown(2)}}))(t); b[0].Problem == nil {
		t.Error("a result for a syringe that has left was taken for the one there now")
	}
}

// A message whose faults are put right comes whole, as a new message.
func TestAMessagePutRightAndSentWholeDoublesNothing(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	for range 3 {
		aside(t, g, osier, "2026-11-20")
	}
	late := shown(40) // later than it was watched
	wrong := []BoxResult{{Number: 1, Test: shown(3)}, {Number: 1, Test: shown(4)}, {Number: 2, Test: shown(5)},
		{Number: 2, Test: late}, {Number: 3, Test: late}}
	must(g.LogBatch(ctx, osier, "message 1", wrong))(t)
	for _, number := range []int{4, 5} { // B-1 rests: a new syringe gets no label that the message names
		if item := aside(t, g, lantern, "2026-11-25"); item.Number != number {
			t.Errorf("put at B-%d, want B-%d", item.Number, number)
		}
	}
	right := slices.Clone(wrong)
	right[3].Test, right[4].Test = shown(6), shown(7)
	became := must(g.LogBatch(ctx, osier, "message 2", right))(t)
	for i, want := range []string{"B-1: is logged already", "B-1: is logged already", "", "", ""} {
		problem := ""
		if became[i].Problem != nil {
			problem = became[i].Problem.Error()
		}
		if earlier := len(became[i].Earlier); problem != want || (earlier == 2) != (want != "") {
			t.Errorf("result %d: %q, %d earlier", i, problem, earlier)
		}
	}
	times := map[float64]int{}
	for _, test := range must(g.Tests(ctx, TestFilter{}))(t) {
		times[test.Seconds]++
	}
	if want := map[float64]int{3: 1, 4: 1, 5: 1, 6: 1, 7: 1}; !maps.Equal(times, want) {
		t.Errorf("logged %v", times)
	}
	must(g.TakeOut(ctx, must(g.Box(ctx, 0))(t)[0].ID, lantern))(t)
	if o := must(g.LogBatch(ctx, osier, "message 3",
		[]BoxResult{{Number: 4, Test: shown(3)}}))(t)[0]; o.Problem.Problem != "nothing waits there" ||
		o.Earlier != nil {
		t.Errorf("of a syringe that was thrown away: %+v", o)
	}
	clock.set(stopped.Add(24 * time.Hour))
	if item := aside(t, g, osier, "2026-11-25"); item.Number != 1 {
		t.Errorf("a day later put at B-%d, want B-1", item.Number)
	}
}

func TestTheSameBatchManyTimesAtOnce(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	for range 3 {
		aside(t, g, osier, "2026-11-20")
	}
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			became, err := g.LogBatch(ctx, osier, "pressed", []BoxResult{{Number: 1, Test: shown(3)},
				{Number: 2, Test: shown(4)}})
			if err != nil || len(became) != 2 || became[0].Problem != nil || became[1].Problem != nil {
				t.Errorf("got %+v, %v", became, err)
			}
		})
	}
	all.Wait()
	if n := len(must(g.Tests(ctx, TestFilter{}))(t)); n != 2 {
		t.Errorf("%d tests", n)
	}
	if got := labels(t, g); !slices.Equal(got, []string{"B-3"}) {
		t.Errorf("in the box: %v", got)
	}
}

func TestABatchOfNothingOrByNobodyStoresNothing(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	aside(t, g, osier, "2026-11-20")
	var field *trade.FieldError
	if _, err := g.LogBatch(ctx, osier, "", nil); !errors.As(err, &field) {
		t.Errorf("nothing: %v", err)
	}
	if _, err := g.LogBatch(ctx, osier, "", make([]BoxResult, mostResults+1)); !errors.As(err, &field) {
		t.Errorf("too much: %v", err)
	}
	if _, err := g.LogBatch(ctx, Member{Ref: "nobody"}, "k", []BoxResult{{Number: 1, Test: shown(3)}}); !errors.Is(err,
		ErrNotFound) {
		t.Errorf("nobody: %v", err)
	}
	// An engine that fails half way, here at the second of two, leaves nothing half stored.
	aside(t, g, osier, "2026-11-20")
	both := []BoxResult{{Number: 1, Test: shown(3)}, {Number: 2, Test: shown(4)}}
	if _, err := unchecked(g.store.Store).Exec(ctx, `CREATE UNIQUE INDEX one_tested ON box_items (state) WHERE state = 'tested'`); err != nil {
		t.Fatal(err)
	}
	if _, err := g.LogBatch(ctx, osier, "k", both); err == nil {
		t.Error("a failure went unseen")
	}
	if _, err := unchecked(g.store.Store).Exec(ctx, `DROP INDEX one_tested`); err != nil {
		t.Fatal(err)
	}
	if n := len(must(g.Tests(ctx, TestFilter{}))(t)); n != 0 {
		t.Errorf("%d tests", n)
	}
	must(g.LogBatch(ctx, osier, "k", both))(t)
	if got := labels(t, g); len(got) != 0 {
		t.Errorf("in the box: %v", got)
	}
}
