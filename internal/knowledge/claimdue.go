package knowledge

import (
	"context"
	"strconv"

	"holdbench/internal/trade"
)

// DueClaims returns the open claims that are due today or tomorrow and whose member has not
// been reminded. The reminder is a [Notice] of kind ClaimReminder with the claim's
// NoticeKey; completing it marks the claim as reminded.
func (g *Group) DueClaims(ctx context.Context, today string) (claims []Claim, err error) {
	defer wrap(&err, "due claims")
	if err := trade.CheckDay("today", today); err != nil {
		return nil, err
	}
	soon, err := addDays(today, remindDaysAhead)
	if err != nil {
		return nil, err
	}
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]Claim, error) {
		return g.readClaims(ctx, q, `
			c.community_id = ? AND c.state = 'taken' AND c.due_on >= ? AND c.due_on <= ?
			ORDER BY c.due_on, c.id`, g.id, today, soon)
	})
}

// NoticeKey is the key of the claim's reminder.
func (c Claim) NoticeKey() string { return strconv.FormatInt(c.ID, 10) }

// LapseClaims closes the claims whose day is over and returns them.
func (g *Group) LapseClaims(ctx context.Context, today string) (lapsed []Claim, err error) {
	defer wrap(&err, "lapse claims")
	if err := trade.CheckDay("today", today); err != nil {
		return nil, err
	}
	return resultOf(ctx, g.store.inTx, func(q querier) ([]Claim, error) {
		return g.lapse(ctx, q, today, combinationKey{})
	})
}

// lapse closes the claims whose day is over: those on one combination, or all if k has no
// product.
func (g *Group) lapse(ctx context.Context, q querier, today string, k combinationKey) ([]Claim, error) {
	late, err := g.readClaims(ctx, q, `
		c.community_id = ? AND c.closed_on = '' AND c.due_on < ?
		AND (? = 0 OR c.product_id = ? AND c.instrument_id = ? AND c.syringe_id = ?)
		ORDER BY c.due_on, c.id`, g.id, today, k.product, k.product, k.instrument, k.syringe)
	if err != nil {
		return nil, err
	}
	for i := range late {
		late[i].State, late[i].ClosedOn = ClaimLapsed, today
		if err := q.do(ctx, `
			UPDATE claims SET state = ?, closed_on = ?
			WHERE community_id = ? AND id = ?`, ClaimLapsed, today, g.id, late[i].ID); err != nil {
			return nil, err
		}
	}
	return late, nil
}
