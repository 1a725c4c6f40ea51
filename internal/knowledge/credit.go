package knowledge

import (
	"context"

	"holdbench/internal/trade"
)

// Credit is a claim with the test that closed it, whoever made the test.
type Credit struct {
	Claim Claim
	Test  BenchTest
}

// Closed returns the claims that kept tests have closed since a day, 2006-01-02,
// that day included, in the order closed.
func (g *Group) Closed(ctx context.Context, since string) (closed []Credit, err error) {
	defer wrap(&err, "closed claims")
	if err := trade.CheckDay("since", since); err != nil {
		return nil, err
	}
	err = g.store.snapshot(ctx, func(q querier) error {
		claims, err := g.readClaims(ctx, q, `
			c.community_id = ? AND c.state = 'logged' AND c.closed_on >= ?
			ORDER BY c.closed_on, c.test_id, c.id`, g.id, since)
		if err != nil {
			return err
		}
		for _, claim := range claims {
			t, err := g.test(ctx, q, claim.TestID)
			if err != nil {
				return err
			}
			if t.State == Kept {
				closed = append(closed, Credit{claim, t})
			}
		}
		return nil
	})
	return closed, err
}

// closeClaim closes the open claim on what was tested, whoever made the claim.
func (g *Group) closeClaim(ctx context.Context, q querier, t BenchTest) error {
	today, err := g.today(ctx, q)
	if err != nil {
		return err
	}
	k := keyOf(t.Combination)
	return q.do(ctx, `
		UPDATE claims SET state = 'logged', closed_on = ?, test_id = `+testRow+`
		WHERE community_id = ? AND product_id = ? AND instrument_id = ? AND syringe_id = ? AND closed_on = ''`,
		today, g.id, t.ID, g.id, k.product, k.instrument, k.syringe)
}

// followCorrection gives a closed claim to the correction, if that is of the same
// combination. A correction of another combination closes the claim on that one, as if it
// had been logged so in the first place.
func (g *Group) followCorrection(ctx context.Context, q querier, old, corrected BenchTest) error {
	if keyOf(old.Combination) != keyOf(corrected.Combination) {
		return g.closeClaim(ctx, q, corrected)
	}
	return q.do(ctx, `
		UPDATE claims SET test_id = `+testRow+`
		WHERE community_id = ? AND test_id = `+testRow, g.id, corrected.ID, g.id, g.id, old.ID)
}
