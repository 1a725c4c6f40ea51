package knowledge

import (
	"context"
	"time"
)

// Reach returns an error unless the store can be read.
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

// LastPrompt returns when a weekly prompt was last posted, in any community and by any
// program on this store; the zero time if none was. One recorded in the future does not
// count, as for LastBackup.
func (s *Store) LastPrompt(ctx context.Context) (at time.Time, err error) {
	defer wrap(&err, "last prompt")
	err = s.look().Row(ctx, `
		SELECT COALESCE(MAX(ended_at), '') FROM notices WHERE kind = ? AND state = 'posted' AND ended_at <= ?`,
		WeeklyPrompt, latestBy(s.now()),
	).Scan(ifAny{&at})
	return at, err
}
