package knowledge

import (
	"errors"
	"io/fs"
	"path/filepath"
	"slices"
	"testing"
	"testing/fstest"

	"holdbench/internal/calc"
	"holdbench/internal/database/databasetest"
	"holdbench/internal/trade"
)

func TestTestsAreNumberedByTheirCommunity(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	a, b := small(t, s, "A"), small(t, s, "B")
	for n := range int64(5) {
		for _, g := range []*Group{a, b, b} {
			must(g.LogTest(t.Context(), shown(3)))(t)
		}
		last := must(a.LogTest(t.Context(), shown(4)))(t)
		if want := 2*n + 2; last.ID != want {
			t.Errorf("test number %d, want %d: it counts what others log", last.ID, want)
		}
	}
	if _, err := a.Test(t.Context(), 11); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v for a number that is not given yet", err)
	}
}

// Numbers and rows differ here in both communities, so that a query that takes one
// for the other finds another test or none.
func TestEverythingAboutATestGoesByItsNumber(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	ctx, trainer := t.Context(), Member{Ref: "lantern"}
	b := small(t, s, "B")
	for range 3 {
		must(b.LogTest(ctx, shown(9)))(t)
	}
	g := small(t, s, "A")
	must(g.TakeOn(ctx, Member{Ref: "osier"}, orrickOn27(), ""))(t)
	var tests []BenchTest
	for _, seconds := range []float64{1.5, 2.5, 3.5} {
		tests = append(tests, must(g.LogTest(ctx, shown(seconds)))(t))
		must(b.LogTest(ctx, shown(9)))(t)
	}
	for i, logged := range tests {
		if found := must(g.Test(ctx, int64(i+1)))(t); logged.ID != int64(i+1) || found.ID != logged.ID ||
			found.Seconds != logged.Seconds {
			t.Errorf("test %d is %+v, looked up %+v", i+1, logged, found)
		}
	}
	if closed := must(g.Closed(ctx, "2026-01-01"))(t); len(closed) != 1 || closed[0].Claim.TestID != 1 ||
		closed[0].Test.Seconds != 1.5 {
		t.Errorf("closed by %+v", closed)
	}
	if check := must(g.CheckTest(ctx, 2, trainer))(t); check.TestID != 2 {
		t.Errorf("checked %+v", check)
	}
	fixed := must(g.CorrectTest(ctx, 1, shown(1.7), trainer, "misread"))(t)
	if fixed.ID != 4 || fixed.Corrects != 1 || must(g.Test(ctx, 4))(t).Corrects != 1 {
		t.Errorf("corrected by %+v", fixed)
	}
	if closed := must(g.Closed(ctx, "2026-01-01"))(t); len(closed) != 1 || closed[0].Claim.TestID != 4 {
		t.Errorf("after the correction closed by %+v", closed)
	}
	must(g.WithdrawTest(ctx, 3, trainer, "air in the line"))(t)
	var actions []string
	for _, c := range must(g.Changes(ctx, ChangeFilter{}))(t) {
		if c.TestID != 0 {
			actions = append(actions, string(c.Action)+" "+trade.Number(float64(c.TestID)))
		}
	}
	slices.Sort(actions)
	want := []string{"checked 2", "corrected 1", "logged 1", "logged 2", "logged 3", "logged 4", "withdrawn 3"}
	if !slices.Equal(actions, want) {
		t.Errorf("changes %v, want %v", actions, want)
	}
	if history := must(g.History(ctx, 3))(t); len(history) != 2 || history[1].TestID != 3 ||
		history[1].Reason != "air in the line" {
		t.Errorf("history %+v", history)
	}
	if left := must(b.Tests(ctx, TestFilter{State: Kept}))(t); len(left) != 6 {
		t.Errorf("%d tests of the other community are kept, want 6", len(left))
	}
}

func TestABatchSentAgainTellsOfTheSameNumbers(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	b, g := small(t, s, "B"), small(t, s, "A")
	must(b.LogTest(t.Context(), shown(9)))(t)
	must(g.PutAside(t.Context(), BoxItem{Member: Member{Ref: "osier"}, Combination: orrickOn27()}))(t)
	for _, key := range []string{"once", "once"} {
		became := must(g.LogBatch(t.Context(), Member{Ref: "osier"}, key,
			[]BoxResult{{Number: 1, Test: shown(2.5)}}))(t)
		if len(became) != 1 || became[0].Test.ID != 1 || became[0].Test.Seconds != 2.5 {
			t.Errorf("became %+v", became)
		}
	}
	again := must(g.LogBatch(t.Context(), Member{Ref: "osier"}, "another",
		[]BoxResult{{Number: 1, Test: shown(2.5)}}))(t)
	if len(again) != 1 || len(again[0].Earlier) != 1 || again[0].Earlier[0].ID != 1 {
		t.Errorf("earlier %+v", again)
	}
}

func TestARefusedTestTakesNoNumber(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "A")
	first := must(g.LogTest(t.Context(), shown(3)))(t)
	stop := errors.New("stop")
	err := g.store.inTx(t.Context(), func(q querier) error {
		must(g.logTest(t.Context(), q, shown(3)))(t)
		return stop
	})
	if !errors.Is(err, stop) {
		t.Fatal(err)
	}
	if next := must(g.LogTest(t.Context(), shown(3)))(t); next.ID != first.ID+1 {
		t.Errorf("number %d after %d", next.ID, first.ID)
	}
}

func TestATestCannotStandInForOneThatTheGroupHasNot(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g, b := small(t, s, "A"), small(t, s, "B")
	must(b.LogTest(t.Context(), shown(3)))(t)
	stray := shown(3)
	stray.Corrects = 1 // of B
	if _, err := g.LogTest(t.Context(), stray); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

// Communities of one store go into others one by one, whatever numbers their tests
// have in common.
func TestCommunitiesWithTheSameTestNumbersShareAStore(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	from, there := openFile(t), openStore(t)
	fill(t, from, "A", calc.MediumHA, 2.5)
	fill(t, from, "B", calc.FirmHA, 17)
	must(Copy(ctx, from, there, "B"))(t)
	must(Copy(ctx, from, there, "A"))(t)
	for _, ref := range []string{"A", "B"} {
		before, after := must(from.Group(ctx, ref))(t), must(there.Group(ctx, ref))(t)
		for _, name := range append(demoFiles, "history") {
			if got, want := after.export(t, name), before.export(t, name); got != want {
				t.Errorf("%s of %s:\ngot  %s\nwant %s", name, ref, got, want)
			}
		}
		if got, want := must(after.LogTest(ctx, shown(3)))(t).ID,
			must(before.LogTest(ctx, shown(3)))(t).ID; got != want {
			t.Errorf("%s goes on with number %d, want %d", ref, got, want)
		}
	}
}

// A store from before keeps the numbers that its groups know, and goes on from each
// group's own latest.
func TestTestsOfAnOlderStoreKeepTheirNumbers(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	older, address := olderStore(t, 7)
	q := unchecked(older)
	for _, old := range []string{
		`INSERT INTO communities (ref, name, zone, ceiling_s, target_share, founded_at)
			VALUES ('A', 'A', 'UTC', 10, 0.9, '2026-01-01T00:00:00.000000Z'),
			('B', 'B', 'UTC', 10, 0.9, '2026-01-01T00:00:00.000000Z')`,
		`INSERT INTO members (community_id, ref, name, role, admitted_at)
			VALUES (1, 'osier', 'Osier', 'member', '2026-01-01T00:00:00.000000Z'),
			(2, 'osier', 'Osier', 'member', '2026-01-01T00:00:00.000000Z')`,
		`INSERT INTO products (community_id, gel_class, first_stocked)
			VALUES (1, 'medium HA', ''),
			(2, 'medium HA', '')`,
		`INSERT INTO product_names (community_id, name_key, product_id, name, position)
			VALUES (1, 'orrick mid', 1, 'Orrick Mid', 0),
			(2, 'orrick mid', 2, 'Orrick Mid', 0)`,
		`INSERT INTO instruments (community_id, name_key, kind, gauge, length_mm, wall, bore_mm, hub_mm)
			VALUES (1, '27G 13 mm needle', 'needle', 27, 13, 'thin', 0, 2),
			(2, '27G 13 mm needle', 'needle', 27, 13, 'thin', 0, 2)`,
		`INSERT INTO syringes (community_id, name_key, name, fixed_needle, volume_ml, gas_ml)
			VALUES (1, 'standard', 'standard', 0, 1, 0.02),
			(2, 'standard', 'standard', 0, 1, 0.02)`,
	} {
		must(q.Exec(ctx, old))(t)
	}
	for i, community := range []int{1, 2, 1, 2, 2} {
		id := i + 3
		var corrects any
		if id == 5 {
			corrects = 3
		}
		must(q.Exec(ctx, `
			INSERT INTO tests (id, community_id, product_id, instrument_id, syringe_id, tester_id, tested_on, liquid, liquid_c, pull_ml,
			                   watched_s, outcome, seconds_typed, timing, note, state, entered, logged_at, corrects_id)
			VALUES (?, ?, ?, ?, ?, ?, '2026-01-01', 'water', 20, 0.1, 30, 'none', '', 'stopwatch', '', 'kept', 'logged', '2026-01-01T00:00:00.000000Z', ?)`,
			id, community, community, community, community, community, corrects))(t)
	}
	s := openAddress(t, address)
	for ref, want := range map[string][]int64{"A": {3, 5, 6}, "B": {4, 6, 7, 8}} {
		g := must(s.Group(ctx, ref))(t)
		must(g.LogTest(ctx, shown(3)))(t)
		var numbers []int64
		for _, test := range must(g.Tests(ctx, TestFilter{}))(t) {
			numbers = append(numbers, test.ID)
		}
		slices.Sort(numbers)
		if !slices.Equal(numbers, want) {
			t.Errorf("%s has tests %v, want %v", ref, numbers, want)
		}
	}
	if stands := must(must(s.Group(ctx, "A"))(t).Test(ctx, 5))(t).Corrects; stands != 3 {
		t.Errorf("test 5 stands in for %d, want 3", stands)
	}
}

// olderStore makes a store as it was before the migration with that number, and
// its address.
func olderStore(t *testing.T, before int) (s *Store, address string) {
	t.Helper()
	address = filepath.Join(t.TempDir(), "older.db")
	if databasetest.OnPostgres() {
		address = databasetest.For(t, address, "template0") // with nothing in it yet
	}
	form := must(schema())(t)
	files := fstest.MapFS{}
	for _, folder := range []string{"sqlite", "postgres"} {
		for _, name := range must(fs.Glob(form.Files, folder+"/*.sql"))(t)[:before-1] {
			files[name] = &fstest.MapFile{Data: must(fs.ReadFile(form.Files, name))(t)}
		}
	}
	form.Files = files
	s = must(openAs(t.Context(), address, form, WithClock(stoppedClock)))(t)
	t.Cleanup(func() { s.Close() })
	return s, address
}
