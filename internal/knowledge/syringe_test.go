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
