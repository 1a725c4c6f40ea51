package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"holdbench/internal/trade"
)

// CoveragePost is the message in a channel that always shows what the group has tested.
type CoveragePost struct {
	Channel string    // the platform's id
	Post    string    // the platform's id of the message; "" if there is none yet
	Shown   string    // a hash of what it shows
	Begun   time.Time // when posting a new message began; zero if none is being posted
	Again   bool      // there was an earlier attempt to post it
}

// CoveragePost returns the message that the group keeps. ErrNotFound if it keeps none.
func (g *Group) CoveragePost(ctx context.Context) (p CoveragePost, err error) {
	defer wrap(&err, "coverage post")
	p, _, err = g.coveragePost(ctx, g.store.look())
	return p, err
}

func (g *Group) coveragePost(ctx context.Context, q querier) (p CoveragePost, claimed time.Time, err error) {
	err = q.Row(ctx, `
		SELECT channel, post_ref, shown, begun_at, claimed_at FROM coverage_posts WHERE community_id = ?`, g.id,
	).Scan(&p.Channel, &p.Post, &p.Shown, ifAny{&p.Begun}, ifAny{&claimed})
	p.Again = !p.Begun.IsZero()
	return p, claimed, err
}

// KeepCoveragePost keeps the message in a channel from now on; "" ends it. Another channel
// than before gets a new message, and the old message stays as it is.
func (g *Group) KeepCoveragePost(ctx context.Context, channel string) (err error) {
	defer wrap(&err, "keep a coverage post")
	if channel != "" {
		if err := trade.CheckText("channel", channel, 100); err != nil {
			return err
		}
	}
	return g.store.inTx(ctx, func(q querier) error {
		err := q.do(ctx, `DELETE FROM coverage_posts WHERE community_id = ? AND channel <> ?`, g.id, channel)
		if err != nil || channel == "" {
			return err
		}
		return q.do(ctx, `
			INSERT INTO coverage_posts (community_id, channel) VALUES (?, ?)
			ON CONFLICT (community_id) DO NOTHING`, g.id, channel)
	})
}

// ClaimCoveragePost claims the message if it shows something else than shown. mine is true
// for exactly one caller, who must complete it within noticeLease.
func (g *Group) ClaimCoveragePost(ctx context.Context, shown string) (p CoveragePost, mine bool, err error) {
	defer wrap(&err, "claim the coverage post")
	err = g.store.inTx(ctx, func(q querier) error {
		var claimed time.Time
		if p, claimed, err = g.coveragePost(ctx, q); errors.Is(err, sql.ErrNoRows) {
			mine = false
			return nil
		}
		now := g.store.now()
		mine = err == nil && p.Shown != shown && (claimed.IsZero() || !leased(claimed, now, noticeLease))
		if !mine {
			return err
		}
		begun := ""
		if p.Post == "" {
			if p.Begun.IsZero() {
				p.Begun = now
			}
			begun = formatTime(p.Begun)
		}
		return q.do(ctx, `
			UPDATE coverage_posts SET claimed_at = ?, begun_at = ? WHERE community_id = ?`, formatTime(now), begun, g.id)
	})
	return p, mine, err
}

// CompleteCoveragePost records which message shows what. An empty post means that the
// message is gone and a new one must be posted.
func (g *Group) CompleteCoveragePost(ctx context.Context, p CoveragePost, post, shown string) (err error) {
	defer wrap(&err, "complete the coverage post")
	return g.store.inTx(ctx, func(q querier) error {
		return q.do(ctx, `
			UPDATE coverage_posts SET post_ref = ?, shown = ?, begun_at = '', claimed_at = ''
			WHERE community_id = ? AND channel = ?`, post, shown, g.id, p.Channel)
	})
}
