package knowledge

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// twoProducts adds a second product to small, with a life of its own.
func twoProducts(t testing.TB, g *Group) (mid, twin trade.Product) {
	t.Helper()
	ctx := t.Context()
	twin = must(g.AddProduct(ctx, trade.Product{Name: "Orick Middle", Class: calc.SoftHA, Aliases: []string{"middle"},
		FirstStocked: "2026-01-05"}))(t)
	return must(g.Product(ctx, "Orrick Mid"))(t), twin
}

func on(p trade.Product, i trade.Instrument) trade.Combination {
	return trade.Combination{Product: trade.Product{ID: p.ID}, Instrument: i}
}

func TestAMergeLosesNothing(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	mid, twin := twoProducts(t, g)
	// Both are stocked and tested, one test of the twin is withdrawn.
	for _, item := range []StockItem{
		{Member: osier, Combination: on(mid, needle(27, 13)), StockedOn: "2026-03-01"},
		{Member: osier, Combination: on(twin, needle(27, 13)), StockedOn: "2026-02-01"},
		{Member: osier, Combination: on(twin, trade.Instrument{}), StockedOn: "2026-02-01"},
		{Member: lantern, Combination: on(twin, needle(30, 13)), StockedOn: "2026-02-02"},
	} {
		must(g.AddStock(ctx, item))(t)
	}
	log := func(p trade.Product, i trade.Instrument, seconds float64) BenchTest {
		test := shown(seconds)
		test.Combination = on(p, i)
		return must(g.LogTest(ctx, test))(t)
	}
	log(mid, needle(27, 13), 2)
	kept := log(twin, needle(27, 13), 3)
	log(twin, needle(30, 13), 9)
	out := log(twin, needle(30, 13), 11)
	must(g.WithdrawTest(ctx, out.ID, osier, "wrong box"))(t)
	item := must(g.PutAside(ctx, BoxItem{Member: osier, Combination: on(twin, needle(30, 13))}))(t)
	first := must(g.TakeOn(ctx, osier, on(mid, needle(30, 13)), ""))(t)
	must(g.TakeOn(ctx, lantern, on(twin, needle(30, 13)), ""))(t)
	alone := must(g.TakeOn(ctx, lantern, on(twin, needle(29, 13)), ""))(t)
	if err := errors.Join(g.SetChoices(ctx, osier, Choices{TellVerdicts: true}),
		g.NoteAsked(ctx, osier, on(mid, needle(27, 13)), "2026-11-02"),
		g.NoteAsked(ctx, osier, on(twin, needle(27, 13)), "2026-11-20")); err != nil {
		t.Fatal(err)
	}

	left := must(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "two spellings of one box"))(t)
	if left.ID != mid.ID || left.Name != "Orrick Mid" || left.Class != calc.MediumHA ||
		left.FirstStocked != "2026-01-05" ||
		!slices.Equal(left.Aliases, []string{"o mid", "Orick Middle", "middle"}) {
		t.Errorf("left: %+v", left)
	}
	if products := must(g.Products(ctx))(t); len(products) != 1 {
		t.Errorf("products: %+v", products)
	}
	for _, name := range []string{"orick middle", "Middle"} {
		if p := must(g.Product(ctx, name))(t); p.ID != mid.ID {
			t.Errorf("%s is now %+v", name, p)
		}
	}
	tests := must(g.Tests(ctx, TestFilter{ProductID: mid.ID}))(t)
	if len(tests) != 4 {
		t.Errorf("%d tests followed", len(tests))
	}
	if test := must(g.Test(ctx, kept.ID))(t); test.Seconds != 3 || test.Combination.Product.ID != mid.ID {
		t.Errorf("got %+v", test)
	}
	held := ""
	for _, item := range must(g.Stock(ctx, StockFilter{}))(t) {
		held += item.Member.Ref + " " + item.Combination.String() + " " + item.StockedOn + "\n"
	}
	for _, line := range []string{"osier Orrick Mid, 27G 13 mm needle, supplied syringe 2026-02-01\n",
		"osier Orrick Mid, supplied syringe 2026-02-01\n", "lantern Orrick Mid, 30G 13 mm needle, supplied syringe " +
			"2026-02-02\n"} {
		if !strings.Contains(held, line) {
			t.Errorf("%q is not held:\n%s", line, held)
		}
	}
	if n := strings.Count(held, "\n"); n != 3 {
		t.Errorf("%d lines of stock", n)
	}
	claims := must(g.Claims(ctx))(t)
	if len(claims) != 2 || claims[0].ID != first.ID || claims[1].ID != alone.ID ||
		claims[1].Combination.Product.ID != mid.ID {
		t.Errorf("claims: %+v", claims)
	}
	for _, held := range must(g.Stocked(ctx))(t) {
		if want := map[int]int{27: 2, 30: 1}[held.Combination.Instrument.Gauge]; held.Tests != want {
			t.Errorf("%s: %d kept tests, want %d", held.Combination, held.Tests, want)
		}
	}
	if box := must(g.Box(ctx, 0))(t); len(box) != 1 || box[0].ID != item.ID || box[0].Combination.Product.ID != mid.ID {
		t.Errorf("box: %+v", box)
	}
	if told := must(g.Followers(ctx, on(mid, needle(27, 13)), "2026-11-20"))(t); len(told) != 1 {
		t.Errorf("followers: %v", told)
	}
}

func TestAMergeIsEstimatedAnewAndLeavesATrace(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	mid, twin := twoProducts(t, g)
	for i, seconds := range []float64{2, 3, 4} {
		test := shown(seconds)
		if i > 0 {
			test.Combination = on(twin, needle(27, 13))
		}
		must(g.LogTest(ctx, test))(t)
	}
	before := asShown(must(g.Evidence(ctx, orrickOn27(), 0))(t))
	must(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "one box"))(t)
	e := must(g.Evidence(ctx, orrickOn27(), 0))(t)
	if got := asShown(e); got == before || got != fromScratch(t, g, e) || e.Counts.Run != 3 || e.ClassTests != 3 {
		t.Errorf("after the merge %s, before %s; %d tests, %d in the class", got, before, e.Counts.Run, e.ClassTests)
	}
	// The number of the product that is gone stands for the other: a button in an
	// old message still works.
	if old := must(g.Evidence(ctx, on(twin, needle(27, 13)), 0))(t); asShown(old) != asShown(e) ||
		old.Combination.Product.ID != mid.ID {
		t.Errorf("by its old number: %+v", old.Combination)
	}
	if tested := must(g.Tested(ctx))(t); len(tested) != 1 || tested[0].Tests != 3 {
		t.Errorf("tested: %+v", tested)
	}
	changes := must(g.Changes(ctx, ChangeFilter{ProductID: mid.ID, Limit: 1}))(t)
	if len(changes) != 1 || changes[0].Action != MergedAct || changes[0].By.Ref != "lantern" ||
		changes[0].Reason != "one box" ||
		changes[0].Before != "Orick Middle (soft HA); middle" || changes[0].After != "Orrick Mid (medium HA); o mid" {
		t.Errorf("trace: %+v", changes)
	}
	var moved int
	if err := g.store.look().Row(ctx, `SELECT COUNT(*) FROM merged_tests WHERE community_id = ?`, g.id).Scan(&moved); err != nil || moved != 2 {
		t.Errorf("%d tests on record as moved, %v", moved, err)
	}
}

func TestMergesThatAreRefused(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	mid, twin := twoProducts(t, g)
	var field *trade.FieldError
	for scene, err := range map[string]error{
		"itself":    second(g.MergeProducts(ctx, mid.ID, mid.ID, lantern, "why")),
		"no reason": second(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, " ")),
		"patient":   second(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "asked by a@b.example")),
	} {
		if !errors.As(err, &field) {
			t.Errorf("%s: %v", scene, err)
		}
	}
	if _, err := g.MergeProducts(ctx, 999, mid.ID, lantern, "why"); !errors.Is(err, ErrNotFound) {
		t.Errorf("not there: %v", err)
	}
	many := trade.Product{Name: "Many", Class: calc.SoftHA}
	for _, r := range "abcdefghijklmnopqrs" {
		many.Aliases = append(many.Aliases, "many "+string(r))
	}
	many = must(g.AddProduct(ctx, many))(t)
	if _, err := g.MergeProducts(ctx, many.ID, mid.ID, lantern, "why"); !errors.As(err, &field) {
		t.Errorf("too many names: %v", err)
	}
	if n := len(must(g.Products(ctx))(t)); n != 3 {
		t.Errorf("a refused merge left %d products", n)
	}
	must(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "why"))(t)
	if _, err := g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "why"); !errors.As(err, &field) {
		t.Errorf("a second time: %v", err)
	}
}

// second returns the error of a pair.
func second[T any](_ T, err error) error { return err }

func TestMergesInARow(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	mid, twin := twoProducts(t, g)
	third := must(g.AddProduct(ctx, trade.Product{Name: "Third; its name has a mark", Class: calc.FineHA}))(t)
	test := shown(3)
	test.Combination = on(third, needle(27, 13))
	must(g.LogTest(ctx, test))(t)
	must(g.MergeProducts(ctx, third.ID, twin.ID, lantern, "one"))(t)
	left := must(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "two"))(t)
	if !slices.Equal(left.Aliases, []string{"o mid", "Orick Middle", "middle", "Third, its name has a mark"}) {
		t.Errorf("names: %q", left.Aliases)
	}
	e := must(g.Evidence(ctx, on(third, needle(27, 13)), 0))(t)
	if e.Combination.Product.ID != mid.ID || e.Counts.Run != 1 {
		t.Errorf("by the first number: %+v, %d tests", e.Combination, e.Counts.Run)
	}
	if n := len(must(g.Changes(ctx, ChangeFilter{ProductID: mid.ID}))(t)); n != 3 { // two merges and the test
		t.Errorf("%d changes on record", n)
	}
}

func TestARenamedProductKeepsItsOldName(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	mid, twin := twoProducts(t, g)
	p := must(g.RenameProduct(ctx, mid.ID, "  Orrick  Medium ", lantern, "new box"))(t)
	if p.Name != "Orrick Medium" || !slices.Equal(p.Aliases, []string{"Orrick Mid", "o mid"}) {
		t.Errorf("got %+v", p)
	}
	p = must(g.RenameProduct(ctx, mid.ID, "O MID", lantern, ""))(t) // one of its own names
	if p.Name != "O MID" || !slices.Equal(p.Aliases, []string{"Orrick Medium", "Orrick Mid"}) {
		t.Errorf("got %+v", p)
	}
	p = must(g.RenameProduct(ctx, mid.ID, "o mid", lantern, ""))(t) // only the case of it
	if p.Name != "o mid" || len(p.Aliases) != 2 {
		t.Errorf("got %+v", p)
	}
	if _, err := g.RenameProduct(ctx, mid.ID, twin.Name, lantern, ""); !errors.Is(err, ErrDuplicate) {
		t.Errorf("another's name: %v", err)
	}
	changes := must(g.Changes(ctx, ChangeFilter{ProductID: mid.ID}))(t)
	if len(changes) != 3 || changes[2].Before != "Orrick Mid" || changes[2].After != "Orrick Medium" ||
		changes[2].Reason != "new box" || changes[2].Action != RenamedAct {
		t.Errorf("trace: %+v", changes)
	}
}

func TestAliasesAndClassesLeaveATraceToo(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	mid, _ := twoProducts(t, g)
	if p := must(g.AddAlias(ctx, mid.ID, "the mid one", osier))(t); !slices.Contains(p.Aliases, "the mid one") {
		t.Errorf("got %+v", p)
	}
	must(g.AddAlias(ctx, mid.ID, "THE mid one", osier))(t) // it goes by that already
	if _, err := g.AddAlias(ctx, mid.ID, "middle", osier); !errors.Is(err, ErrDuplicate) {
		t.Errorf("another's name: %v", err)
	}
	must(g.LogTest(ctx, shown(3)))(t)
	before := asShown(must(g.Evidence(ctx, orrickOn27(), 0))(t))
	must(g.SetClass(ctx, mid.ID, calc.FirmHA, lantern, "on the leaflet"))(t)
	if e := must(g.Evidence(ctx, orrickOn27(), 0))(t); asShown(e) == before || asShown(e) != fromScratch(t, g, e) {
		t.Errorf("another class, the same answer: %s", before)
	}
	var field *trade.FieldError
	if _, err := g.SetClass(ctx, mid.ID, "jelly", lantern, ""); !errors.As(err, &field) {
		t.Errorf("no class: %v", err)
	}
	changes := must(g.Changes(ctx, ChangeFilter{ProductID: mid.ID}))(t)
	if len(changes) != 3 || changes[0].Action != ClassSetAct || changes[0].Before != "medium HA" ||
		changes[0].After != "firm HA" ||
		changes[1].Action != NameAddedAct || changes[1].After != "the mid one" || changes[1].By.Ref != "osier" {
		t.Errorf("trace: %+v", changes)
	}
}

func TestNearDuplicatesAreFoundTheNearestFirst(t *testing.T) {
	t.Parallel()
	g, ctx := found(t, openStore(t), "local"), t.Context()
	for _, p := range []trade.Product{{Name: "Orrick Mid", Aliases: []string{"blue box"}}, {Name: "Orrick Firm"},
		{Name: "Dunmere Deep"},
		{Name: "Hesk Paste 2"}, {Name: "Hesk Paste 3"}, {Name: "Lip"}} {
		must(g.AddProduct(ctx, p))(t)
	}
	for typed, want := range map[string][]string{
		"orrick mid":     {"Orrick Mid"},
		"Orick Mid":      {"Orrick Mid"},
		"Orrcik Mid":     {"Orrick Mid"},
		"OrrickMid":      {"Orrick Mid"},
		"deep dunmere":   {"Dunmere Deep"},
		"blue boks":      {"Orrick Mid"},
		"Hesk Paste 3":   {"Hesk Paste 3", "Hesk Paste 2"},
		"Lap":            {"Lip"},
		"Lappe":          nil,
		"Orrick":         nil,
		"Larnoch":        nil,
		"Dunmere Deeply": {"Dunmere Deep"},
	} {
		var got []string
		for _, p := range must(g.SimilarProducts(ctx, typed))(t) {
			got = append(got, p.Name)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: got %q, want %q", typed, got, want)
		}
	}
	var field *trade.FieldError
	if _, err := g.SimilarProducts(ctx, " "); !errors.As(err, &field) {
		t.Errorf("no name: %v", err)
	}
}

// Tests that come over with a merge are no new ones: they have been told of.
func TestAVerdictThatAMergeChangesIsNotByNewTests(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	mid, twin := twoProducts(t, g)
	must(g.LogTest(ctx, shown(9)))(t)
	for i := range 8 {
		test := shown(3 + 0.1*float64(i))
		test.Combination, test.Tester = on(twin, needle(27, 13)), [...]Member{osier, lantern}[i%2]
		must(g.LogTest(ctx, test))(t)
	}
	clock.set(stopped.Add(time.Hour))
	must(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "one box"))(t)
	changes := must(g.VerdictChanges(ctx, stopped.Add(time.Minute)))(t)
	if len(changes) == 0 {
		t.Fatal("the merge changed no verdict: this shows nothing")
	}
	for _, c := range changes {
		if c.Cause != LogChanged {
			t.Errorf("%s went from %q to %q by %s", c.Combination, c.Before, c.After, c.Cause)
		}
	}
	for i := range 20 {
		test := shown(30 + float64(i))
		test.WatchedS, test.Tester = 60, [...]Member{osier, lantern}[i%2]
		must(g.LogTest(ctx, test))(t)
	}
	if changes = must(g.VerdictChanges(ctx, stopped.Add(time.Minute)))(t); changes[len(changes)-1].Cause != NewTests {
		t.Errorf("tests logged after the merge: %+v", changes)
	}
}
