package knowledge

import (
	"context"
	"database/sql"
	"io"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

func stockTable(names *memberNames) table[StockItem] {
	return table[StockItem]{
		{"member", false, func(i StockItem) string { return names.write(i.Member) }, nil},
		{"product", false, func(i StockItem) string { return i.Combination.Product.Name }, nil},
		{"instrument", true, func(i StockItem) string {
			if i.Combination.Instrument.ID == 0 {
				return ""
			}
			return i.Combination.Instrument.Name()
		}, nil},
		{"syringe", true, func(i StockItem) string { return i.Combination.Syringe.Name }, nil},
		{"stocked_on", false, func(i StockItem) string { return i.StockedOn }, nil},
	}
}

// ExportStock writes what members hold in the order recorded.
func (g *Group) ExportStock(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "export stock")
	members, err := g.Members(ctx)
	if err != nil {
		return err
	}
	items, err := g.Stock(ctx, StockFilter{})
	if err != nil {
		return err
	}
	return stockTable(newMemberNames(members)).write(w, items)
}

// ImportStock records what the members of a file hold. Members and products
// must be there already; an instrument may be left out (not said).
//
// Faults come back in the report with nothing stored, unless skipBad is set.
func (g *Group) ImportStock(ctx context.Context, r io.Reader, skipBad bool) (report ImportReport, err error) {
	defer wrap(&err, "import stock")
	return g.importStock(ctx, tableOf(r), Importing{SkipBad: skipBad})
}

func (g *Group) importStock(ctx context.Context, open source, how Importing) (ImportReport, error) {
	return importSheet(ctx, g, open, stockTable(nil).columns(), how,
		func(ctx context.Context, q querier) (way sheetImport[StockItem], err error) {
			members, err := g.members(ctx, q)
			if err != nil {
				return way, err
			}
			v, err := g.vocabulary(ctx, q)
			if err != nil {
				return way, err
			}
			names := newMemberNames(members)
			held, err := g.stockHeld(ctx, q)
			if err != nil {
				return way, err
			}
			read := func(row sheetRow) (*StockItem, become, error) {
				item, err := readStock(row, names, v)
				if err == nil {
					item.Combination, err = v.placeStock(item.Combination)
				}
				k := heldKey{item.Member.ID, keyOf(item.Combination)}
				if err == nil && held[k] {
					return nil, already, nil
				}
				// of what is on no list yet the store says whether it is there
				held[k] = err == nil && k.product != 0 && k.syringe != 0 && (k.instrument != 0 ||
					item.Combination.Instrument == (trade.Instrument{}))
				return &item, 0, err
			}
			return sheetImport[StockItem]{read: read, store: g.storeStock, atOnce: namesAtOnce}, nil
		})
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

func (g *Group) storeStock(ctx context.Context, q querier, items []StockItem) (all []become, err error) {
	for _, item := range items {
		_, isNew, err := g.addStock(ctx, q, item)
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

func readStock(row sheetRow, names *memberNames, v *Vocabulary) (item StockItem, err error) {
	if item.Member, err = readMember(row, names); err != nil {
		return item, err
	}
	if item.Combination, err = readCombination(row, v); err != nil {
		return item, err
	}
	item.StockedOn = row.get("stocked_on")
	return item, trade.CheckDay("stocked_on", item.StockedOn)
}

func readMember(row sheetRow, names *memberNames) (Member, error) {
	m, ok := names.find(row.get("member"))
	if !ok {
		return Member{}, trade.Refuse("member", "no member goes by %q, or more than one does", row.get("member"))
	}
	return m, nil
}

// readCombination reads the three cells of a combination. An instrument that is
// left out stays empty.
func readCombination(row sheetRow, v *Vocabulary) (c trade.Combination, err error) {
	var ok bool
	if c.Product, ok = v.Product(row.get("product")); !ok {
		return c, trade.Refuse("product", "%q is not on the list of products", row.get("product"))
	}
	if name := row.get("instrument"); name != "" {
		if c.Instrument, err = trade.ReadInstrument(name); err != nil {
			return c, err
		}
	}
	if c.Syringe, ok = v.Syringe(row.get("syringe")); !ok {
		c.Syringe, err = trade.ReadSyringe(row.get("syringe"))
	}
	return c, err
}
