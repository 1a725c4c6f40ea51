package knowledge

import (
	"errors"
	"testing"

	"holdbench/internal/trade"
)

func TestStockIsRecordedOnceAndRemoved(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	osier := Member{Ref: "osier"}
	first := must(g.AddStock(t.Context(), StockItem{Member: osier, Combination: orrickOn27(),
		StockedOn: "2026-06-01"}))(t)
	again := must(g.AddStock(t.Context(), StockItem{Member: osier, Combination: orrickOn27()}))(t)
	if again.ID != first.ID || again.StockedOn != "2026-06-01" {
		t.Errorf("got %+v", again)
	}
	gelOnly := must(g.AddStock(t.Context(),
		StockItem{Member: Member{Ref: "lantern"}, Combination: trade.Combination{Product: trade.Product{Name: "Orrick Mid"}}}))(t)
	if gelOnly.StockedOn != "2026-11-25" || gelOnly.Combination.Instrument.ID != 0 ||
		gelOnly.Combination.Syringe.Name != trade.Supplied {
		t.Errorf("got %+v", gelOnly)
	}
	items := must(g.Stock(t.Context(), StockFilter{}))(t)
	if len(items) != 2 || items[0].Combination.String() != "Orrick Mid, 27G 13 mm needle, supplied syringe" {
		t.Errorf("got %+v", items)
	}
	if mine := must(g.Stock(t.Context(), StockFilter{MemberID: gelOnly.Member.ID}))(t); len(mine) != 1 ||
		mine[0].ID != gelOnly.ID {
		t.Errorf("got %+v", mine)
	}
	e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
	if e.Holders != 2 || e.SetupHolders != 1 {
		t.Errorf("%d hold the product, %d with the instrument", e.Holders, e.SetupHolders)
	}
	if err := g.RemoveStock(t.Context(), first.ID); err != nil {
		t.Fatal(err)
	}
	if err := g.RemoveStock(t.Context(), first.ID); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
	_, err := g.AddStock(t.Context(), StockItem{Member: osier, Combination: orrickOn27(), StockedOn: "June"})
	refused(t, err, "stocked on")
	if _, err := g.AddStock(t.Context(),
		StockItem{Member: Member{Ref: "nobody"}, Combination: orrickOn27()}); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
}
