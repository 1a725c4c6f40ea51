package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// PromptSpan returns the time that the prompt of a week covers: from when the last posted
// prompt was begun, that moment included, to when this one was begun, or to now. So nothing
// is told twice, and what a failed prompt would have told comes with the next. If none was
// posted yet, the span begins with the first prompt that had nothing to say. since is zero if
// there was no prompt at all.
func (g *Group) PromptSpan(ctx context.Context, week string, now time.Time) (since, until time.Time, err error) {
	defer wrap(&err, "span of the prompt of %s", week)
	until = now.UTC().Truncate(timeStep)
	err = g.store.snapshot(ctx, func(q querier) error {
		err := q.Row(ctx, `
			SELECT begun_at FROM notices
			WHERE community_id = ? AND kind = ? AND notice_key = ?`, g.id, WeeklyPrompt, week,
		).Scan(timeColumn{&until})
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		err = q.Row(ctx, `
			SELECT begun_at FROM notices
			WHERE community_id = ? AND kind = ? AND notice_key <> ? AND state <> 'claimed' AND begun_at < ?
			ORDER BY CASE WHEN state = 'posted' THEN 0 ELSE 1 END,
			         CASE WHEN state = 'posted' THEN begun_at ELSE '' END DESC, begun_at
			LIMIT 1`, g.id, WeeklyPrompt, week, formatTime(until),
		).Scan(timeColumn{&since})
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		return err
	})
	return since, until, err
}
