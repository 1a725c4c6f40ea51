package knowledge

import (
	"errors"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

func TestWhatIsHeldIsRecordedWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	p := must(g.Product(ctx, "Orrick Mid"))(t)
	cannula := trade.Instrument{Kind: trade.Cannula, Gauge: 25, LengthMM: 38, Wall: calc.Thin}
	added := must(g.Hold(ctx, osier, []StockItem{
		{Combination: on(p, needle(27, 13)), StockedOn: "2026-11-10"},
		{Combination: on(p, cannula)},
		{Combination: on(p, needle(27, 13))}, // said twice
	}))(t)
	if len(added) != 2 || added[0].Member.Ref != "osier" || added[1].StockedOn != "2026-11-25" ||
		added[1].Combination.Instrument.ID == 0 {
		t.Errorf("got %+v", added)
	}
	if first := must(g.Product(ctx, "Orrick Mid"))(t).FirstStocked; first != "2026-11-10" {
		t.Errorf("first stocked %q", first)
	}
	again := must(g.Hold(ctx, osier, []StockItem{{Combination: on(p, cannula)}}))(t)
	if len(again) != 0 {
		t.Errorf("held already, and yet %+v", again)
	}
	_, err := g.Hold(ctx, lantern, []StockItem{{Combination: on(p, needle(27, 13))},
		{Combination: trade.Combination{Product: trade.Product{Name: "Nobody's"}, Instrument: needle(27, 13)}}})
	if !errors.Is(err, ErrNotFound) {
		t.Errorf("a product that is not there: %v", err)
	}
	var field *trade.FieldError
	for scene, items := range map[string][]StockItem{"nothing": nil, "tomorrow": {{Combination: on(p, needle(30, 13)),
		StockedOn: "2026-11-26"}}, "too much": make([]StockItem, mostHeld+1)} {
		if _, err := g.Hold(ctx, lantern, items); !errors.As(err, &field) {
			t.Errorf("%s: %v", scene, err)
		}
	}
	if n := len(must(g.Stock(ctx, StockFilter{}))(t)); n != 2 {
		t.Errorf("%d lines of stock", n)
	}
}
