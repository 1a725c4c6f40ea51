package knowledge

import (
	"context"
	"slices"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// askedDays is how many days it is kept who asked about what.
const askedDays = 60

// NoteAsked keeps for 60 days that a member asked about a combination on a day.
// What is not on the community's lists is not noted.
//
// Errors: *FieldError for a day that is none; ErrNotFound for somebody who is not
// a member or a number that is not there.
func (g *Group) NoteAsked(ctx context.Context, m Member, c trade.Combination, day string) (err error) {
	defer wrap(&err, "note what was asked")
	if err := trade.CheckDay("day", day); err != nil {
		return err
	}
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return err
	}
	if c, err = v.place(c); err != nil {
		return err
	}
	if c.Instrument.ID == 0 || c.Syringe.ID == 0 {
		return nil
	}
	if m, err = g.resolveMember(ctx, g.store.look(), m); err != nil {
		return err
	}
	noted, err := g.askedAlready(ctx, m, keyOf(c), day)
	if err != nil || noted {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error {
		v, err := g.vocabulary(ctx, q) // the product may have been merged meanwhile
		if err != nil {
			return err
		}
		if c, err = v.place(c); err != nil {
			return err
		}
		today, err := g.today(ctx, q)
		if err != nil {
			return err
		}
		moment := "" // known only for today
		if day == today {
			moment = formatTime(g.store.now())
		}
		k := keyOf(c)
		if err := q.do(ctx, `
			INSERT INTO asked (community_id, member_id, product_id, instrument_id, syringe_id, asked_on, asked_at)
			VALUES (?, ?, ?, ?, ?, ?, ?)`+askedLatest,
			g.id, m.ID, k.product, k.instrument, k.syringe, day, moment); err != nil {
			return err
		}
		return g.forgetAsked(ctx, q, today)
	})
}

// askedAlready reports whether a question of the day, or of a later one, is noted. If the verdict has changed since,
// the answer is another, and the question is noted again.
func (g *Group) askedAlready(ctx context.Context, m Member, k combinationKey, day string) (bool, error) {
	var noted int
	err := g.store.look().Row(ctx, `
		SELECT COUNT(*) FROM asked a
		WHERE a.community_id = ? AND a.member_id = ? AND a.product_id = ? AND a.instrument_id = ? AND a.syringe_id = ?
		      AND (a.asked_on > ? OR a.asked_on = ? AND NOT EXISTS (
				SELECT 1 FROM verdict_changes v
				WHERE v.community_id = a.community_id AND v.product_id = a.product_id AND v.instrument_id = a.instrument_id
				      AND v.syringe_id = a.syringe_id AND v.changed_at > a.asked_at))`,
		g.id, m.ID, k.product, k.instrument, k.syringe, day, day).Scan(&noted)
	return noted > 0, err
}

// askedLatest keeps the latest of two questions about the same.
const askedLatest = `
	ON CONFLICT (member_id, product_id, instrument_id, syringe_id) DO UPDATE
	SET asked_on = excluded.asked_on, asked_at = excluded.asked_at
	WHERE excluded.asked_on > asked.asked_on OR excluded.asked_on = asked.asked_on AND excluded.asked_at > asked.asked_at`

// ForgetAsked forgets what was asked more than 60 days before a day.
func (g *Group) ForgetAsked(ctx context.Context, today string) (err error) {
	defer wrap(&err, "forget what was asked")
	if err := trade.CheckDay("today", today); err != nil {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error { return g.forgetAsked(ctx, q, today) })
}

func (g *Group) forgetAsked(ctx context.Context, q querier, today string) error {
	oldest, err := addDays(today, -askedDays)
	if err != nil {
		return err
	}
	return q.do(ctx, `DELETE FROM asked WHERE community_id = ? AND asked_on < ?`, g.id, oldest)
}

// Followers returns the members who asked about a combination since a day, that
// day included, and have agreed to be told, in the order admitted.
//
// Errors: *FieldError; ErrNotFound for a number that is not there.
func (g *Group) Followers(ctx context.Context, c trade.Combination, since string) (members []Member, err error) {
	defer wrap(&err, "followers")
	if err := trade.CheckDay("since", since); err != nil {
		return nil, err
	}
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	if c, err = v.place(c); err != nil {
		return nil, err
	}
	k := keyOf(c)
	return database.Collect(ctx, g.store.look(), scanMember, `
		SELECT m.id, m.ref, m.name, m.role
		FROM asked a
		JOIN members m ON m.community_id = a.community_id AND m.id = a.member_id
		WHERE a.community_id = ? AND a.product_id = ? AND a.instrument_id = ? AND a.syringe_id = ?
		      AND a.asked_on >= ? AND m.tell_verdicts = 1
		ORDER BY m.id`, g.id, k.product, k.instrument, k.syringe, since)
}

// Unaware returns the Followers of a combination whose verdict has changed who have not
// asked since: whoever has asked again has seen the change. Whoever asked on the day of the
// change, at an unknown hour, counts as unaware.
//
// Errors: *FieldError; ErrNotFound for a number that is not there.
func (g *Group) Unaware(ctx context.Context, change VerdictChange, since string) (members []Member, err error) {
	defer wrap(&err, "unaware of a change")
	followers, err := g.Followers(ctx, change.Combination, since)
	if err != nil || len(followers) == 0 {
		return nil, err
	}
	zone, err := g.zone(ctx, g.store.look())
	if err != nil {
		return nil, err
	}
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	c, err := v.place(change.Combination)
	if err != nil {
		return nil, err
	}
	k, day := keyOf(c), change.At.In(zone).Format(dayText)
	aware, err := database.Collect(ctx, g.store.look(), database.Column[int64], `
		SELECT member_id FROM asked
		WHERE community_id = ? AND product_id = ? AND instrument_id = ? AND syringe_id = ?
		      AND (asked_on > ? OR asked_on = ? AND asked_at >= ?)`,
		g.id, k.product, k.instrument, k.syringe, day, day, formatTime(change.At))
	return slices.DeleteFunc(followers, func(m Member) bool { return slices.Contains(aware, m.ID) }), err
}
