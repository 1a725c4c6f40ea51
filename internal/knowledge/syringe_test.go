package knowledge

import (
	"errors"
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
