package knowledge

import (
	"context"
	"time"
)

// Reach reads a little from the store, and says whether that worked.
//
// Errors: ErrMoved where the file is no longer the one that was opened.
func (s *Store) Reach(ctx context.Context) (err error) {
	defer wrap(&err, "reach the store")
	if err := s.db.InPlace(); err != nil {
		return err
	}
	var communities int
	return s.look().Row(ctx, `SELECT COUNT(*) FROM communities`).Scan(&communities)
}

// LastPrompt returns when a weekly prompt last went out, in whichever community
// and by whichever program on this store; the zero time if none did. One noted at a
// time still to come is none, as for LastBackup.
func (s *Store) LastPrompt(ctx context.Context) (at time.Time, err error) {
	defer wrap(&err, "last prompt")
	err = s.look().Row(ctx, `
		SELECT COALESCE(MAX(ended_at), '') FROM notices WHERE kind = ? AND state = 'posted' AND ended_at <= ?`,
		WeeklyPrompt, latestBy(s.now()),
	).Scan(ifAny{&at})
	return at, err
}
