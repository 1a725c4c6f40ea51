package knowledge

import (
	"context"
	"fmt"

	"holdbench/internal/trade"
)

// BoxProposal says that a bench session with what a member has put aside is due.
type BoxProposal struct {
	Member Member
	Items  []BoxItem // by number
	Full   bool      // there are at least as many as the community's BoxItems
	Oldest string    // the day the oldest was put aside
	Key    string    // of the notice: one when there are enough items, one when the oldest gets old
}

// proposedAhead is how many days before the oldest item reaches the community's BoxDays a
// session is due, so that the member can find an hour for it (project's choice).
const proposedAhead = 3

// BoxProposals returns the members for whom a bench session is due, in the order admitted:
// enough items wait, or the oldest will soon have waited too long.
func (g *Group) BoxProposals(ctx context.Context, today string) (due []BoxProposal, err error) {
	defer wrap(&err, "box proposals")
	if err := trade.CheckDay("today", today); err != nil {
		return nil, err
	}
	settings, err := g.Settings(ctx)
	if err != nil {
		return nil, err
	}
	oldEnough, err := addDays(today, proposedAhead-settings.BoxDays)
	if err != nil {
		return nil, err
	}
	all, err := resultOf(ctx, g.store.snapshot, func(q querier) ([]BoxItem, error) {
		return g.readBox(ctx, q, `b.community_id = ? AND b.left_at = '' ORDER BY b.member_id, b.number`, g.id)
	})
	if err != nil {
		return nil, err
	}
	for len(all) > 0 {
		n := 1
		for n < len(all) && all[n].Member.ID == all[0].Member.ID {
			n++
		}
		p := proposal(all[:n:n])
		all = all[n:]
		if p.Full = len(p.Items) >= settings.BoxItems; p.Full || p.Oldest <= oldEnough {
			p.Key = fmt.Sprintf("%s %t", p.Key, p.Oldest <= oldEnough)
			due = append(due, p)
		}
	}
	return due, nil
}

func proposal(items []BoxItem) BoxProposal {
	oldest := items[0]
	for _, item := range items {
		if item.PutOn < oldest.PutOn || item.PutOn == oldest.PutOn && item.ID < oldest.ID {
			oldest = item
		}
	}
	return BoxProposal{Member: oldest.Member, Items: items, Oldest: oldest.PutOn,
		Key: fmt.Sprintf("%d", oldest.ID)}
}
