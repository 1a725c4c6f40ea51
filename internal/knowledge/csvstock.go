package knowledge

import (
	"context"
	"database/sql"
	"io"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

func stockTable(names fileNames) table[StockItem] {
	combination := func(i *StockItem) *trade.Combination { return &i.Combination }
	return table[StockItem]{
		memberColumn(names, func(i *StockItem) *Member { return &i.Member }),
		productColumn(names, combination), instrumentColumn(names, combination).optionally(),
		syringeColumn(names, combination),
		words("stocked_on", func(i *StockItem) *string { return &i.StockedOn }),
	}
}

func (g *Group) exportStock(ctx context.Context, w io.Writer, names *memberNames) error {
	items, err := g.Stock(ctx, StockFilter{})
	if err != nil {
		return err
	}
	return stockTable(fileNames{members: names}).writeTo(w, items)
}

func (g *Group) prepareStock(ctx context.Context, q querier) (in fileImport[StockItem, StockItem], err error) {
	names, err := g.fileNames(ctx, q)
	if err != nil {
		return in, err
	}
	held, err := g.stockHeld(ctx, q)
	in.table, in.store = stockTable(names), g.storeStock
	in.plan = func(item StockItem) (*StockItem, become, error) {
		k := heldKey{item.Member.ID, keyOf(item.Combination)}
		if held[k] {
			return nil, already, nil
		}
		if err := trade.CheckDay("stocked_on", item.StockedOn); err != nil {
			return nil, 0, err
		}
		// storeStock finds out whether something is there that is on no list yet
		held[k] = k.product != 0 && k.syringe != 0 &&
			(k.instrument != 0 || item.Combination.Instrument == (trade.Instrument{}))
		return &item, added, nil
	}
	return in, err
}

// heldKey is a combination in stock, by its rows.
type heldKey struct {
	member int64
	combinationKey
}

// stockHeld is what members hold.
func (g *Group) stockHeld(ctx context.Context, q querier) (map[heldKey]bool, error) {
	keys, err := database.Collect(ctx, q, func(rows *sql.Rows, k *heldKey) error {
		return rows.Scan(&k.member, &k.product, &k.instrument, &k.syringe)
	}, `SELECT member_id, product_id, COALESCE(instrument_id, 0), syringe_id FROM stock WHERE community_id = ?`, g.id)
	held := make(map[heldKey]bool, len(keys))
	for _, k := range keys {
		held[k] = true
	}
	return held, err
}

func (g *Group) storeStock(ctx context.Context, q querier, items []*StockItem) (all []become, err error) {
	for _, item := range items {
		_, isNew, err := g.addStock(ctx, q, *item)
		if err != nil {
			return nil, err
		}
		became := already
		if isNew {
			became = added
		}
		all = append(all, became)
	}
	return all, nil
}
