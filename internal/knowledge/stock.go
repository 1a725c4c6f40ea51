package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"strings"

	"holdbench/internal/trade"
)

// StockItem is something that a member holds. Without an instrument none was said; without a
// syringe it is the supplied one.
type StockItem struct {
	ID          int64
	Member      Member
	Combination trade.Combination
	StockedOn   string // day, 2006-01-02; today if empty
}

// StockFilter selects stock; a field that is 0 selects all.
type StockFilter struct{ MemberID, ProductID int64 }

// AddStock records that a member holds something and returns it as stored. If the member
// holds it already, that item is returned unchanged. An instrument or syringe that is not on
// the list yet is added to it.
//
// Errors: *FieldError; ErrNotFound for a member or product that is not there.
func (g *Group) AddStock(ctx context.Context, item StockItem) (added StockItem, err error) {
	defer wrap(&err, "add stock")
	err = g.store.inTx(ctx, func(q querier) error {
		added, _, err = g.addStock(ctx, q, item)
		return err
	})
	return added, err
}

// addStock also reports whether the item is new.
func (g *Group) addStock(ctx context.Context, q querier, item StockItem) (added StockItem, isNew bool, err error) {
	item.StockedOn = strings.TrimSpace(item.StockedOn)
	if item.StockedOn == "" {
		if item.StockedOn, err = g.today(ctx, q); err != nil {
			return StockItem{}, false, err
		}
	}
	if err := trade.CheckDay("stocked on", item.StockedOn); err != nil {
		return StockItem{}, false, err
	}
	if item.Member, err = g.resolveMember(ctx, q, item.Member); err != nil {
		return StockItem{}, false, err
	}
	if item.Combination, err = g.placeStock(ctx, q, item.Combination); err != nil {
		return StockItem{}, false, err
	}
	k := keyOf(item.Combination)
	err = q.Row(ctx, `
		SELECT id, stocked_on FROM stock
		WHERE community_id = ? AND member_id = ? AND product_id = ?
		      AND COALESCE(instrument_id, 0) = ? AND syringe_id = ?`,
		g.id, item.Member.ID, k.product, k.instrument, k.syringe,
	).Scan(&item.ID, &item.StockedOn)
	if !errors.Is(err, sql.ErrNoRows) {
		return item, false, err
	}
	err = q.Row(ctx, `
		INSERT INTO stock (community_id, member_id, product_id, instrument_id, syringe_id, stocked_on)
		VALUES (?, ?, ?, ?, ?, ?) RETURNING id`,
		g.id, item.Member.ID, k.product, nullID(k.instrument), k.syringe, item.StockedOn,
	).Scan(&item.ID)
	return item, true, err
}

// placeStock is place for a combination whose instrument may be left out.
func (v *Vocabulary) placeStock(c trade.Combination) (trade.Combination, error) {
	if c.Instrument != (trade.Instrument{}) {
		return v.place(c)
	}
	c, err := v.placeProduct(c)
	if err != nil {
		return trade.Combination{}, err
	}
	return v.placeSyringe(c)
}

// placeStock is placeOrAdd for a combination whose instrument may be left out.
func (g *Group) placeStock(ctx context.Context, q querier, c trade.Combination) (trade.Combination, error) {
	if c.Instrument != (trade.Instrument{}) {
		return g.placeOrAdd(ctx, q, c)
	}
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return trade.Combination{}, err
	}
	if c, err = v.placeStock(c); err != nil || c.Syringe.ID != 0 {
		return c, err
	}
	c.Syringe, err = g.insertSyringe(ctx, q, c.Syringe)
	return c, err
}

// placeOrAdd finds a combination on the list, and adds its instrument and its syringe if they
// are new.
func (g *Group) placeOrAdd(ctx context.Context, q querier, c trade.Combination) (trade.Combination, error) {
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return trade.Combination{}, err
	}
	if c, err = v.place(c); err != nil {
		return trade.Combination{}, err
	}
	if c.Instrument.ID == 0 {
		if c.Instrument, err = g.addInstrument(ctx, q, c.Instrument); err != nil {
			return trade.Combination{}, err
		}
	}
	if c.Syringe.ID == 0 {
		c.Syringe, err = g.insertSyringe(ctx, q, c.Syringe)
	}
	return c, err
}

// RemoveStock deletes items: all of them or, if one is not there, none. ErrNotFound then.
func (g *Group) RemoveStock(ctx context.Context, ids ...int64) (err error) {
	defer wrap(&err, "remove stock %v", ids)
	return g.store.inTx(ctx, func(q querier) error {
		for _, id := range ids {
			removed, err := q.Exec(ctx, `DELETE FROM stock WHERE community_id = ? AND id = ?`, g.id, id)
			if err == nil && removed == 0 {
				return ErrNotFound
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// Stock returns what members hold, in the order recorded.
func (g *Group) Stock(ctx context.Context, f StockFilter) (items []StockItem, err error) {
	defer wrap(&err, "stock")
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]StockItem, error) {
		return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, item *StockItem) (err error) {
			var k combinationKey
			m := &item.Member
			if err := rows.Scan(&item.ID, &k.product, &k.instrument, &k.syringe, &item.StockedOn,
				&m.ID, &m.Ref, &m.Name, &m.Role); err != nil {
				return err
			}
			item.Combination, err = v.combination(k)
			return err
		}, `
			SELECT s.id, s.product_id, COALESCE(s.instrument_id, 0), s.syringe_id, s.stocked_on,
			       m.id, m.ref, m.name, m.role
			FROM stock s
			JOIN members m ON m.community_id = s.community_id AND m.id = s.member_id
			WHERE s.community_id = ? AND (? = 0 OR s.member_id = ?) AND (? = 0 OR s.product_id = ?)
			ORDER BY s.id`, g.id, f.MemberID, f.MemberID, f.ProductID, f.ProductID)
	})
}

// holders returns how many members stock a product, and how many of them with
// this instrument.
func (g *Group) holders(ctx context.Context, q querier, k combinationKey) (any, withInstrument int, err error) {
	err = q.Row(ctx, `
		SELECT COUNT(DISTINCT member_id),
		       COUNT(DISTINCT CASE WHEN instrument_id = ? THEN member_id END)
		FROM stock WHERE community_id = ? AND product_id = ?`, k.instrument, g.id, k.product,
	).Scan(&any, &withInstrument)
	return any, withInstrument, err
}
