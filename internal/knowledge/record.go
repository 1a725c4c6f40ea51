package knowledge

import (
	"context"
	"database/sql"
	"time"

	"holdbench/internal/trade"
)

// Record is everything that a community has stored about a member.
type Record struct {
	Member  Member
	Since   time.Time // when they were admitted
	Choices Choices
	Direct  time.Time   // when they last chose the group to answer in direct messages; zero for never
	Tests   []BenchTest // made by the member, withdrawn ones too
	Stock   []StockItem
	Claims  []Claim   // open and closed
	Box     []BoxItem // put aside by the member, those that have left the box too
	Asked   []Asked
	Done    []LogChange // the member's changes of the log and the lists, the latest first
	Emptied int         // places of the box that the member emptied
	Batches int         // bench sessions logged in one message
	Watches int         // syringes watched by presses in the chat, with when the plunger was back
}

// Asked is a combination that a member has asked about, with the latest day.
type Asked struct {
	Combination trade.Combination
	On          string // day, 2006-01-02
}

// RecordOf returns what is stored about a member. ErrNotFound for somebody who is not a
// member: nothing is stored about them.
func (g *Group) RecordOf(ctx context.Context, m Member) (r Record, err error) {
	defer wrap(&err, "record of a member")
	err = g.store.snapshot(ctx, func(q querier) error {
		if r.Member, err = g.resolveMember(ctx, q, m); err != nil {
			return err
		}
		return g.readRecord(ctx, q, &r)
	})
	if err != nil {
		return Record{}, err
	}
	if r.Stock, err = g.Stock(ctx, StockFilter{MemberID: r.Member.ID}); err != nil {
		return Record{}, err
	}
	changes, err := g.Changes(ctx, ChangeFilter{MemberID: r.Member.ID})
	for _, c := range changes {
		if c.Action != Logged && c.Action != Imported { // those are in Tests
			r.Done = append(r.Done, c)
		}
	}
	return r, err
}

// readRecord reads, in one snapshot, what is stored about the member of r.
func (g *Group) readRecord(ctx context.Context, q querier, r *Record) (err error) {
	id := r.Member.ID
	err = q.Row(ctx, `
		SELECT admitted_at, may_mention, tell_verdicts, direct_at FROM members
		WHERE community_id = ? AND id = ?`, g.id, id,
	).Scan(timeColumn{&r.Since}, &r.Choices.MayMention, &r.Choices.TellVerdicts, ifAny{&r.Direct})
	if err != nil {
		return err
	}
	if r.Tests, err = g.readTests(ctx, q, `t.community_id = ? AND t.tester_id = ? ORDER BY t.id`, g.id, id); err != nil {
		return err
	}
	if r.Claims, err = g.readClaims(ctx, q, `c.community_id = ? AND c.member_id = ? ORDER BY c.id`, g.id, id); err != nil {
		return err
	}
	if r.Box, err = g.readBox(ctx, q, `b.community_id = ? AND b.member_id = ? ORDER BY b.id`, g.id, id); err != nil {
		return err
	}
	if r.Asked, err = g.askedBy(ctx, q, id); err != nil {
		return err
	}
	return q.Row(ctx, `
		SELECT (SELECT COUNT(*) FROM box_items WHERE community_id = ? AND left_by = ?),
		       (SELECT COUNT(*) FROM batches WHERE community_id = ? AND member_id = ?),
		       (SELECT COUNT(*) FROM watches WHERE community_id = ? AND member_id = ?)`, g.id, id, g.id, id, g.id, id,
	).Scan(&r.Emptied, &r.Batches, &r.Watches)
}

// askedBy returns what a member asked about within askedDays.
func (g *Group) askedBy(ctx context.Context, q querier, member int64) ([]Asked, error) {
	return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, a *Asked) (err error) {
		var k combinationKey
		if err := rows.Scan(&k.product, &k.instrument, &k.syringe, &a.On); err != nil {
			return err
		}
		a.Combination, err = v.combination(k)
		return err
	}, `
		SELECT product_id, instrument_id, syringe_id, asked_on FROM asked
		WHERE community_id = ? AND member_id = ?
		ORDER BY asked_on, product_id, instrument_id, syringe_id`, g.id, member)
}
