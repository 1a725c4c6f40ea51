package knowledge

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// latest is the number of the change that can be undone and was made last.
func latest(t *testing.T, g *Group) int64 {
	t.Helper()
	all := must(g.Undoable(t.Context()))(t)
	if len(all) == 0 {
		t.Fatal("nothing can be undone")
	}
	return all[0].Number
}

// onLists is what the lists and the settings say.
func onLists(t *testing.T, g *Group) string {
	t.Helper()
	v := must(g.Vocabulary(t.Context()))(t)
	return fmt.Sprintf("%+v\n%+v\n%+v\n%+v\n%+v", v.Products, v.Instruments, v.Syringes,
		must(g.AlikeProducts(t.Context()))(t), must(g.Settings(t.Context()))(t))
}

// Each change of the lists and the settings is undone within the hour, whole; the
// history has both lines.
func TestEveryChangeOfTheListsIsUndone(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	mid, _ := twoProducts(t, g)
	must(g.AddInstrument(ctx, trade.Instrument{Kind: trade.Needle, Gauge: 31, LengthMM: 8}))(t)
	thin := must(g.Instrument(ctx, "31G 8 mm needle"))(t)
	spare := must(g.AddSyringe(ctx, trade.Syringe{Name: "3 mL", VolumeML: 3}))(t)
	third := must(g.AddProduct(ctx, trade.Product{Name: "Velmora Soft"}))(t)
	fourth := must(g.AddProduct(ctx, trade.Product{Name: "Velmorra Soft"}))(t)
	for scene, change := range map[string]func() error{
		"gel added": func() error { return second(g.AddProductBy(ctx, trade.Product{Name: "Brackley Sheer"}, lantern)) },
		"gel added beside one it is not": func() error {
			return second(g.AddProductBy(ctx, trade.Product{Name: "Velmora Sooft"}, lantern, third.ID))
		},
		"gel renamed": func() error { return second(g.RenameProduct(ctx, mid.ID, "Orrick Medium", lantern, "new box")) },
		"class":       func() error { return second(g.SetClass(ctx, mid.ID, calc.FirmHA, lantern, "")) },
		"alias":       func() error { return second(g.AddAlias(ctx, mid.ID, "the mid one", lantern)) },
		"alias gone":  func() error { return second(g.DropAlias(ctx, mid.ID, "o mid", lantern)) },
		"gel retired": func() error { return second(g.RetireProduct(ctx, mid.ID, false, lantern, "off the market")) },
		"needle put right": func() error {
			return second(g.CorrectInstrument(ctx, thin.ID, lantern, "on the box",
				func(i *trade.Instrument) error { i.Wall, i.HubMM = calc.UltraThin, 3; return nil }))
		},
		"needle retired": func() error { return second(g.RetireInstrument(ctx, thin.ID, false, lantern, "")) },
		"syringe put right": func() error {
			return second(g.CorrectSyringe(ctx, spare.ID, lantern, "measured",
				func(s *trade.Syringe) error { s.GasML, s.Name = 0.08, "5 mL"; return nil }))
		},
		"syringe retired": func() error { return second(g.RetireSyringe(ctx, spare.ID, false, lantern, "")) },
		"told apart":      func() error { return g.TellApart(ctx, third.ID, fourth.ID, lantern, "two boxes") },
		"settings": func() error {
			return g.ChangeSettings(ctx, lantern, func(to *Settings) error { to.Ceiling, to.Zone = 12, "Europe/Lisbon"; return nil })
		},
	} {
		clock.set(clock.read().Add(2 * time.Hour))
		before := onLists(t, g)
		if err := change(); err != nil {
			t.Fatalf("%s: %v", scene, err)
		}
		if onLists(t, g) == before {
			t.Errorf("%s changes nothing", scene)
		}
		number := latest(t, g)
		clock.set(clock.read().Add(UndoFor - time.Minute))
		must(g.UndoChange(ctx, number, lantern))(t)
		if after := onLists(t, g); after != before {
			t.Errorf("%s undone:\n%s\nbefore:\n%s", scene, after, before)
		}
		var field *trade.FieldError
		if _, err := g.UndoChange(ctx, number, lantern); !errors.As(err, &field) {
			t.Errorf("%s undone twice: %v", scene, err)
		}
		lines := must(g.Changes(ctx, ChangeFilter{Limit: 2}))(t)
		if lines[0].Action != UndoneAct || lines[1].By.Ref != lantern.Ref {
			t.Errorf("%s: history %+v", scene, lines)
		}
	}
}

func TestWhatCannotBeUndoneSaysWhy(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	mid, _ := twoProducts(t, g)
	why := func(number int64) string {
		_, err := g.UndoChange(ctx, number, lantern)
		return fmt.Sprint(err)
	}
	must(g.SetClass(ctx, mid.ID, calc.FirmHA, lantern, ""))(t)
	class := latest(t, g)
	must(g.RenameProduct(ctx, mid.ID, "Orrick Medium", lantern, ""))(t)
	if got := why(class); !strings.Contains(got, "changed since") {
		t.Errorf("a later change stands in the way: %s", got)
	}
	fresh := must(g.AddProductBy(ctx, trade.Product{Name: "Brackley Sheer"}, lantern))(t)
	added := latest(t, g)
	test := shown(3)
	test.Combination = on(fresh, needle(27, 13))
	must(g.LogTest(ctx, test))(t)
	if got := why(added); !strings.Contains(got, "in use") {
		t.Errorf("a tested gel is taken away: %s", got)
	}
	clock.set(clock.read().Add(UndoFor + time.Second))
	if got := why(added); !strings.Contains(got, "an hour") {
		t.Errorf("after the hour: %s", got)
	}
	if all := must(g.Undoable(ctx))(t); len(all) != 0 {
		t.Errorf("after the hour: %+v", all)
	}
	if _, err := g.UndoChange(ctx, 99, lantern); !errors.Is(err, ErrNotFound) {
		t.Errorf("not there: %v", err)
	}
}

// What an older program stored with a change is in another form: it says so, and nothing changes.
func TestAChangeByAnOlderProgramIsNotUndone(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	mid, _ := twoProducts(t, g)
	must(g.SetClass(ctx, mid.ID, calc.FirmHA, lantern, ""))(t)
	before := onLists(t, g)
	must(0, g.store.inTx(ctx, func(q querier) error {
		return q.do(ctx, `UPDATE list_changes SET undo = '{"Gel":{"Before":{"ID":1},"After":{"ID":1}}}' WHERE community_id = ?`, g.id)
	}))(t)
	var field *trade.FieldError
	_, err := g.UndoChange(ctx, latest(t, g), lantern)
	if !errors.As(err, &field) || !strings.Contains(err.Error(), "before the program was updated") {
		t.Errorf("undone: %v", err)
	}
	if after := onLists(t, g); after != before {
		t.Errorf("%s\nbefore:\n%s", after, before)
	}
}

// Of the settings only what a change touched must be as it left it, and only that is put back.
func TestASettingIsUndoneBesideALaterChangeOfAnother(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	before := must(g.Settings(ctx))(t)
	set := func(change func(*Settings)) int64 {
		must(0, g.ChangeSettings(ctx, lantern, func(s *Settings) error { change(s); return nil }))(t)
		return latest(t, g)
	}
	ceiling := set(func(s *Settings) { s.Ceiling = 12 })
	set(func(s *Settings) { s.Zone = "Europe/Lisbon" })
	must(g.UndoChange(ctx, ceiling, lantern))(t)
	if after := must(g.Settings(ctx))(t); after.Ceiling != before.Ceiling || after.Zone != "Europe/Lisbon" {
		t.Errorf("%+v", after)
	}
	ceiling = set(func(s *Settings) { s.Ceiling = 12 })
	set(func(s *Settings) { s.Ceiling = 14 })
	if _, err := g.UndoChange(ctx, ceiling, lantern); err == nil || !strings.Contains(err.Error(), "the same setting") {
		t.Errorf("a later change of the same: %v", err)
	}
}

// A merge that is undone leaves both sides as they were, to the row.
func TestAMergeIsTakenApartAgain(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	mid, twin := twoProducts(t, g)
	gone := must(g.AddProduct(ctx, trade.Product{Name: "Third", Class: calc.FineHA}))(t)
	must(g.MergeProducts(ctx, gone.ID, twin.ID, lantern, "one box"))(t)
	for _, item := range []StockItem{
		{Member: osier, Combination: on(mid, needle(27, 13)), StockedOn: "2026-03-01"},
		{Member: osier, Combination: on(twin, needle(27, 13)), StockedOn: "2026-02-01"},
		{Member: lantern, Combination: on(twin, trade.Instrument{}), StockedOn: "2026-02-02"},
	} {
		must(g.AddStock(ctx, item))(t)
	}
	for i, p := range []trade.Product{mid, twin, twin} {
		test := shown(2 + float64(i))
		test.Combination = on(p, needle(27, 13))
		must(g.LogTest(ctx, test))(t)
	}
	must(g.PutAside(ctx, BoxItem{Member: osier, Combination: on(twin, needle(30, 13))}))(t)
	must(g.TakeOn(ctx, osier, on(mid, needle(30, 13)), ""))(t)
	must(g.TakeOn(ctx, lantern, on(twin, needle(30, 13)), ""))(t)
	if err := errors.Join(g.SetChoices(ctx, osier, Choices{TellVerdicts: true}),
		g.NoteAsked(ctx, osier, on(twin, needle(27, 13)), "2026-11-20")); err != nil {
		t.Fatal(err)
	}
	plan := must(g.PlanMerge(ctx, twin.ID, mid.ID))(t)
	if plan.Tests != 2 || plan.Stock != 2 || plan.Claims != 1 || plan.Box != 1 {
		t.Errorf("planned %+v", plan)
	}
	asWas := func() string {
		text := onLists(t, g)
		for _, p := range []trade.Product{mid, twin, gone} {
			text += asShown(must(g.Evidence(ctx, on(p, needle(27, 13)), 0))(t))
		}
		return text
	}
	clock.set(clock.read().Add(time.Minute))
	before, rows := asWas(), sideRows(t, g)
	must(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "two spellings"))(t)
	number := latest(t, g)
	must(g.UndoChange(ctx, number, lantern))(t)
	if after := sideRows(t, g); after != rows {
		t.Errorf("rows, before:\n%s\nafter:\n%s", rows, after)
	}
	if after := asWas(); after != before {
		t.Errorf("before:\n%s\nafter:\n%s", before, after)
	}

	must(g.MergeProducts(ctx, twin.ID, mid.ID, lantern, "two spellings"))(t)
	number = latest(t, g)
	clock.set(clock.read().Add(time.Minute))
	late := must(g.LogTest(ctx, shown(9)))(t)
	if _, err := g.UndoChange(ctx, number, lantern); err == nil || !strings.Contains(err.Error(), "logged since") {
		t.Errorf("a test since: %v", err)
	}
	// Withdrawn it is in nobody's way: it stays with the gel it was logged under.
	must(g.WithdrawTest(ctx, late.ID, lantern, "of the other box"))(t)
	must(g.UndoChange(ctx, number, lantern))(t)
	if stays := must(g.Test(ctx, late.ID))(t); stays.Combination.Product.ID != mid.ID || stays.State != Withdrawn {
		t.Errorf("the test logged since is %+v", stays)
	}
	if after := asWas(); after != before {
		t.Errorf("with a test withdrawn, before:\n%s\nafter:\n%s", before, after)
	}
}

// sideRows are the rows that a merge moves.
func sideRows(t *testing.T, g *Group) string {
	t.Helper()
	rows := rowsOf(t, g.store.Store)
	var text []string
	for _, table := range []string{"tests", "stock", "claims", "asked", "box_items", "product_names", "verdicts",
		"tested_combinations"} {
		lines := slices.Clone(rows[table])
		slices.Sort(lines)
		text = append(text, table+"\n"+strings.Join(lines, "\n"))
	}
	return strings.Join(text, "\n")
}

// The trainer's list of needles to say more of: what most tests hang on first.
func TestNeedlesWithoutWallClassAreListed(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	bare := func(gauge int) trade.Instrument {
		return must(g.AddInstrument(ctx, trade.Instrument{Kind: trade.Needle, Gauge: gauge, LengthMM: 8}))(t)
	}
	first, tested, retired := bare(29), bare(31), bare(32)
	measured := bare(33)
	must(g.CorrectInstrument(ctx, measured.ID, lantern, "", func(i *trade.Instrument) error { i.BoreMM = 0.11; return nil }))(t)
	must(g.RetireInstrument(ctx, retired.ID, false, lantern, ""))(t)
	test := shown(3)
	test.Combination.Instrument = tested
	must(g.LogTest(ctx, test))(t)
	open := must(g.NeedlesWithoutWall(ctx))(t)
	if len(open) != 2 || open[0].Instrument.ID != tested.ID || open[0].Tests != 1 || open[1].Instrument.ID != first.ID {
		t.Errorf("got %+v", open)
	}
	before := asShown(must(g.Evidence(ctx, test.Combination, 0))(t))
	must(g.CorrectInstrument(ctx, tested.ID, lantern, "on the box",
		func(i *trade.Instrument) error { i.Wall = calc.UltraThin; return nil }))(t)
	e := must(g.Evidence(ctx, test.Combination, 0))(t)
	if asShown(e) == before || asShown(e) != fromScratch(t, g, e) {
		t.Errorf("the estimate stands on the old wall: %s", asShown(e))
	}
}

// What is retired is not asked to be tested, and its tests stay.
func TestWhatIsRetiredIsNotAskedToBeTested(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	p := must(g.Product(ctx, "Orrick Mid"))(t)
	must(g.AddStock(ctx, StockItem{Member: osier, Combination: on(p, needle(30, 13))}))(t)
	must(g.LogTest(ctx, shown(3)))(t)
	if open := must(g.Untested(ctx, "2026-11-21"))(t); len(open) != 1 {
		t.Fatalf("open: %+v", open)
	}
	must(g.RetireProduct(ctx, p.ID, false, lantern, ""))(t)
	if open := must(g.Untested(ctx, "2026-11-21"))(t); len(open) != 0 {
		t.Errorf("open: %+v", open)
	}
	if e := must(g.Evidence(ctx, orrickOn27(), 0))(t); e.Counts.Run != 1 {
		t.Errorf("%d tests", e.Counts.Run)
	}
	must(g.RetireProduct(ctx, p.ID, true, lantern, ""))(t)
	if open := must(g.Untested(ctx, "2026-11-21"))(t); len(open) != 1 {
		t.Errorf("brought back, open: %+v", open)
	}
}

// All of the settings are checked before any is stored.
func TestABadSettingChangesNone(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	before := must(g.Settings(ctx))(t)
	for _, change := range []func(*Settings){
		func(s *Settings) { s.Ceiling, s.Zone = 12, "Nowhere/Land" },
		func(s *Settings) { s.Name, s.TrainerRole = "Other", g.Ref() },
	} {
		var field *trade.FieldError
		if err := g.ChangeSettings(ctx, lantern, func(s *Settings) error { change(s); return nil }); !errors.As(err,
			&field) {
			t.Errorf("taken: %v", err)
		}
	}
	if after := must(g.Settings(ctx))(t); after != before {
		t.Errorf("%+v, before %+v", after, before)
	}
	if lines := must(g.Changes(ctx, ChangeFilter{}))(t); len(lines) != 0 {
		t.Errorf("history: %+v", lines)
	}
}

// The history says that somebody was forgotten, by whom, and not who.
func TestAMemberWhoLeftIsForgotten(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	must(g.LogTest(ctx, shown(3)))(t)
	must(g.SetClass(ctx, must(g.Product(ctx, "Orrick Mid"))(t).ID, calc.FirmHA, lantern, ""))(t)
	if e := must(g.ForgetMember(ctx, osier, lantern))(t); e.Tests != 1 {
		t.Errorf("%+v", e)
	}
	if _, err := g.Member(ctx, osier.Ref); !errors.Is(err, ErrNotFound) {
		t.Errorf("still there: %v", err)
	}
	line := must(g.Changes(ctx, ChangeFilter{Limit: 1}))(t)[0]
	if line.Action != ForgottenAct || line.By.Ref != lantern.Ref || line.After != FormerMember || line.Before != "" {
		t.Errorf("history: %+v", line)
	}
	if all := must(g.Undoable(ctx))(t); len(all) != 0 {
		t.Errorf("what may have their rows in it can be undone: %+v", all)
	}
}
