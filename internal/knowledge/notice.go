package knowledge

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"time"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// Notice is something the program says unasked, at most once per kind and key.
//
// It is claimed, posted and then completed. If the program stops between posting and
// completing, nobody knows whether the post went out. So a claim only holds for noticeLease.
// After that the next caller gets the same notice with the same Nonce and a higher Attempt.
// The poster gives the nonce to the platform, which refuses a second post with it for some
// minutes. At a later attempt the poster first looks in the channel for a post of the
// program's own since Begun.
type Notice struct {
	Kind    NoticeKind
	Key     string // what it is about: a week, a claim's number …
	Nonce   string // the same for every attempt, at most 25 characters
	Attempt int    // 1 the first time
	Begun   time.Time
}

// NoticeKind is what a notice is.
type NoticeKind string

// The kinds of notice.
const (
	WeeklyPrompt  NoticeKind = "weekly prompt"
	ClaimReminder NoticeKind = "claim reminder"
	BoxProposed   NoticeKind = "box proposal"
	VerdictNews   NoticeKind = "verdict news"
	CorrectedNews NoticeKind = "correction"
	Welcome       NoticeKind = "welcome"
)

const (
	noticeLease = 10 * time.Minute // longer than any post takes, short enough to try again the same day

	// promptGap is the least time between two prompts, so that a changed weekday or time zone does not bring two within
	// days. The usual gap is a week, and six days after a prompt that came late.
	promptGap = 5 * 24 * time.Hour
)

// ClaimPrompt claims the prompt of a week, as named by Settings.PromptDue. mine is true for
// exactly one caller across all programs on the store. It is false for all if the community
// had another prompt within the last five days.
func (g *Group) ClaimPrompt(ctx context.Context, week string) (n Notice, mine bool, err error) {
	defer wrap(&err, "claim prompt of %s", week)
	return g.claimNotice(ctx, WeeklyPrompt, week, func(q querier) (bool, error) {
		now := g.store.now()
		var late int
		err := q.Row(ctx, `
			SELECT COUNT(*) FROM notices
			WHERE community_id = ? AND kind = ? AND notice_key <> ? AND state <> 'silent' AND begun_at > ? AND begun_at <= ?`,
			g.id, WeeklyPrompt, week, formatTime(now.Add(-promptGap)), latestBy(now),
		).Scan(&late)
		if err != nil || late > 0 {
			return false, err
		}
		// A prompt recorded in the future went out at an unknown time before now.
		err = q.do(ctx, `
			UPDATE notices SET begun_at = ?, claimed_at = ?, ended_at = CASE WHEN ended_at = '' THEN '' ELSE ? END
			WHERE community_id = ? AND kind = ? AND notice_key <> ? AND begun_at > ?`,
			formatTime(now), formatTime(now), formatTime(now), g.id, WeeklyPrompt, week, latestBy(now))
		return err == nil, err
	})
}

// ClaimNotice claims a notice of any kind; mine is true for exactly one caller.
func (g *Group) ClaimNotice(ctx context.Context, kind NoticeKind, key string) (n Notice, mine bool, err error) {
	defer wrap(&err, "claim %s %q", kind, key)
	if kind == WeeklyPrompt {
		return g.ClaimPrompt(ctx, key)
	}
	return g.claimNotice(ctx, kind, key, func(querier) (bool, error) { return true, nil })
}

// RetryNotice claims a notice that was begun and not completed. mine is false if there is
// none, or if another's claim still holds.
func (g *Group) RetryNotice(ctx context.Context, kind NoticeKind, key string) (n Notice, mine bool, err error) {
	defer wrap(&err, "retry %s %q", kind, key)
	return g.claimNotice(ctx, kind, key, func(q querier) (begun bool, err error) {
		err = q.Row(ctx, `
			SELECT COUNT(*) > 0 FROM notices
			WHERE community_id = ? AND kind = ? AND notice_key = ?`, g.id, kind, key).Scan(&begun)
		return begun, err
	})
}

// OpenNotices returns the refs of the communities with notices of a kind that were begun and
// not completed.
func (s *Store) OpenNotices(ctx context.Context, kind NoticeKind) (refs []string, err error) {
	defer wrap(&err, "open notices of %s", kind)
	return database.Collect(ctx, s.look(), func(rows *sql.Rows, ref *string) error { return rows.Scan(ref) }, `
		SELECT DISTINCT c.ref FROM notices n JOIN communities c ON c.id = n.community_id
		WHERE n.kind = ? AND n.state = 'claimed' ORDER BY c.ref`, kind)
}

func (g *Group) claimNotice(ctx context.Context, kind NoticeKind, key string,
	may func(querier) (bool, error)) (n Notice, mine bool, err error) {
	if err := trade.CheckText("notice key", key, 200); err != nil {
		return Notice{}, false, err
	}
	n = Notice{Kind: kind, Key: key}
	err = g.store.inTx(ctx, func(q querier) error {
		if mine, err = may(q); err != nil || !mine {
			return err
		}
		var state string
		var claimed time.Time
		err := q.Row(ctx, `
			SELECT nonce, attempt, begun_at, state, claimed_at
			FROM notices WHERE community_id = ? AND kind = ? AND notice_key = ?`, g.id, kind, key,
		).Scan(&n.Nonce, &n.Attempt, timeColumn{&n.Begun}, &state, ifAny{&claimed})
		if errors.Is(err, sql.ErrNoRows) {
			return g.beginNotice(ctx, q, &n)
		}
		if err != nil {
			return err
		}
		mine = state == "claimed" && !leased(claimed, g.store.now(), noticeLease)
		if !mine {
			return nil
		}
		n.Attempt++
		return q.do(ctx, `
			UPDATE notices SET attempt = ?, claimed_at = ?
			WHERE community_id = ? AND kind = ? AND notice_key = ?`,
			n.Attempt, formatTime(g.store.now()), g.id, kind, key)
	})
	if err != nil || !mine {
		return Notice{}, false, err
	}
	return n, true, nil
}

func (g *Group) beginNotice(ctx context.Context, q querier, n *Notice) error {
	n.Nonce, n.Attempt, n.Begun = rand.Text()[:20], 1, g.store.now().UTC().Truncate(timeStep)
	return q.do(ctx, `
		INSERT INTO notices (community_id, kind, notice_key, nonce, state, attempt, begun_at, claimed_at)
		VALUES (?, ?, ?, ?, 'claimed', 1, ?, ?)`, g.id, n.Kind, n.Key, n.Nonce, formatTime(n.Begun), formatTime(n.Begun))
}

// CompleteNotice records that a claimed notice was posted, with the platform's id of the
// post, or with "" that there was nothing to say. Completing a reminder marks its claim as
// reminded. Completing twice changes nothing. ErrNotFound for a notice that was never
// claimed.
func (g *Group) CompleteNotice(ctx context.Context, n Notice, post string) (err error) {
	defer wrap(&err, "complete %s %q", n.Kind, n.Key)
	state := "posted"
	if post == "" {
		state = "silent"
	} else if err := trade.CheckText("post id", post, 200); err != nil {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error {
		changed, err := q.Exec(ctx, `
			UPDATE notices SET state = ?, ended_at = ?, post_ref = ?
			WHERE community_id = ? AND kind = ? AND notice_key = ? AND nonce = ? AND state = 'claimed'`,
			state, formatTime(g.store.now()), post, g.id, n.Kind, n.Key, n.Nonce)
		if err != nil {
			return err
		}
		if changed == 0 {
			return g.noticeThere(ctx, q, n)
		}
		if n.Kind != ClaimReminder {
			return nil
		}
		return q.do(ctx, `
			UPDATE claims SET state = 'reminded'
			WHERE community_id = ? AND CAST(id AS TEXT) = ? AND state = 'taken'`, g.id, n.Key)
	})
}

// noticeThere returns ErrNotFound unless a notice was claimed with its nonce.
func (g *Group) noticeThere(ctx context.Context, q querier, n Notice) error {
	var there int
	return q.Row(ctx, `
		SELECT 1 FROM notices
		WHERE community_id = ? AND kind = ? AND notice_key = ? AND nonce = ?`, g.id, n.Kind, n.Key, n.Nonce,
	).Scan(&there)
}

// ReleaseNotice gives a claimed notice back at once, when it is known that it was not
// posted: the platform refused it. The next caller tries again.
func (g *Group) ReleaseNotice(ctx context.Context, n Notice) (err error) {
	defer wrap(&err, "release %s %q", n.Kind, n.Key)
	return g.store.inTx(ctx, func(q querier) error {
		return q.do(ctx, `
			UPDATE notices SET claimed_at = ''
			WHERE community_id = ? AND kind = ? AND notice_key = ? AND nonce = ? AND state = 'claimed'`,
			g.id, n.Kind, n.Key, n.Nonce)
	})
}
