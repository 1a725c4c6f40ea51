package knowledge

import (
	"errors"
	"strings"
	"testing"

	"holdbench/internal/trade"
)

func TestASyringeIsFoundByItsNameSpellingForgiven(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	if _, err := g.AddSyringe(t.Context(), trade.Syringe{Name: "SUPPLIED"}); !errors.Is(err, ErrDuplicate) {
		t.Errorf("got %v", err)
	}
	if s := must(g.Syringe(t.Context(), "0.3 ml fixed needle"))(t); s.Name != "fixed-needle 0.3 mL" || s.ID == 0 {
		t.Errorf("got %+v", s)
	}
}

// A syringe put right keeps its tests; what the model asks of it is the gas, and every gel
// tested with it is estimated anew.
func TestASyringeIsKeptInOrderAsANeedleIs(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	added := must(g.AddSyringeBy(ctx, trade.Syringe{Name: "3 mL", VolumeML: 3}, lantern))(t)
	test := shown(3)
	test.Combination.Syringe = added
	logged := must(g.LogTest(ctx, test))(t)
	before := must(g.Vocabulary(ctx))(t).Version
	right := must(g.CorrectSyringe(ctx, added.ID, lantern, "measured",
		func(s *trade.Syringe) error { s.GasML = 0.2; return nil }))(t)
	if stored := must(g.Test(ctx, logged.ID))(t); stored.Combination.Syringe != right || right.GasML != 0.2 {
		t.Errorf("the test is on %+v", stored.Combination.Syringe)
	}
	if must(g.Vocabulary(ctx))(t).Version == before {
		t.Error("nobody is told that the list has changed")
	}
	must(g.RetireSyringe(ctx, added.ID, false, lantern, ""))(t)
	back := must(g.AddSyringeBy(ctx, trade.Syringe{Name: "3 mL", VolumeML: 3}, lantern))(t)
	if back.ID != added.ID || back.RetiredOn != "" {
		t.Errorf("brought back as %+v", back)
	}
	supplied := must(g.Syringe(ctx, trade.Supplied))(t)
	_, err := g.RetireSyringe(ctx, supplied.ID, false, lantern, "")
	wantsField(t, "the supplied syringe retired", err)
	fresh := must(g.AddSyringeBy(ctx, trade.Syringe{Name: "5 mL", VolumeML: 5}, lantern))(t)
	must(g.UndoChange(ctx, latest(t, g), lantern))(t)
	if s := must(g.Syringe(ctx, fresh.Name))(t); s.RetiredOn == "" {
		t.Error("a syringe whose adding was undone is still suggested")
	}
}

// What a group has put right of its syringes goes through the file, and again changes nothing.
func TestSyringesGoThroughTheFile(t *testing.T) {
	g := small(t, openStore(t), "local")
	must(g.AddSyringe(t.Context(), trade.Syringe{Name: "3 mL", VolumeML: 3, GasML: 0.08}))(t)
	must(g.AddSyringe(t.Context(), trade.Syringe{Name: "pen", FixedNeedle: true, RetiredOn: "2026-02-03"}))(t)
	supplied := must(g.Syringe(t.Context(), "supplied"))(t)
	must(g.CorrectSyringe(t.Context(), supplied.ID, Member{Ref: "lantern"}, "", func(s *trade.Syringe) error {
		s.GasML = 0.07
		return nil
	}))(t)
	file, other := g.export(t, "syringes"), found(t, openStore(t), "other")
	take := func(text string) ImportReport {
		return must(other.Import(t.Context(), SyringeFile, RowsOf(strings.NewReader(text)), Importing{}))(t)
	}
	if r := take(file); r.Added != 2 || r.Changed != 1 || r.Already != 3 {
		t.Errorf("%+v of\n%s", r, file)
	}
	if again := other.export(t, "syringes"); again != file {
		t.Errorf("the file is another after a round:\n%s", again)
	}
	if r := take(file); r.Added+r.Changed != 0 || r.Already != 6 {
		t.Errorf("again: %+v", r)
	}
	for line, want := range map[string]string{"supplied,,,0.09": "recorded with 0.07 mL", "3 mL,yes,,": "recorded with no",
		"3 mL,,5,": "recorded with 3 mL", "new,perhaps,,": "neither yes nor no", ",no,,": "is missing"} {
		r := take("syringe,fixed_needle,volume_ml,gas_ml\n" + line + "\n")
		if r.Bad != 1 || !strings.Contains(r.Faults[0].Problem, want) {
			t.Errorf("%s: %+v", line, r)
		}
	}
}
