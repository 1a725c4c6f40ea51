package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// backupLease is how long a claim on a night's backup holds if nobody reports the outcome,
// and how long after a failure it is tried again. It is longer than a large store takes, and
// short enough for several attempts a night.
const backupLease = time.Hour

// ClaimBackup claims the backup of a night (2006-01-02). mine is true for exactly one caller
// across all programs on the store, until that one reports the outcome or an hour has
// passed. Claims in the future are deleted: a clock was wrong, and that night must still get
// its backup.
func (s *Store) ClaimBackup(ctx context.Context, night string) (mine bool, err error) {
	defer wrap(&err, "claim backup of %s", night)
	err = s.inTx(ctx, func(q querier) error {
		now := s.now()
		if err := q.do(ctx, `DELETE FROM backups WHERE claimed_at > ?`, formatTime(now.Add(backupLease))); err != nil {
			return err
		}
		var state string
		var claimed time.Time
		err := q.Row(ctx, `SELECT state, claimed_at FROM backups WHERE night = ?`, night).Scan(&state, timeColumn{&claimed})
		if errors.Is(err, sql.ErrNoRows) {
			mine = true
			return q.do(ctx, `INSERT INTO backups (night, state, claimed_at) VALUES (?, 'claimed', ?)`, night, formatTime(now))
		}
		if err != nil {
			return err
		}
		if mine = state != "made" && !leased(claimed, now, backupLease); !mine {
			return nil
		}
		return q.do(ctx, `
			UPDATE backups SET state = 'claimed', claimed_at = ?, ended_at = '' WHERE night = ?`, formatTime(now), night)
	})
	return mine && err == nil, err
}

// BackupMade records a night's backup with its file name and size.
func (s *Store) BackupMade(ctx context.Context, night, file string, bytes int64) (err error) {
	defer wrap(&err, "backup of %s made", night)
	return s.endBackup(ctx, night, "made", file, bytes)
}

// BackupFailed records that a night's backup could not be made. It can be claimed again an
// hour after the last claim. If another program has made it meanwhile, it stays made.
func (s *Store) BackupFailed(ctx context.Context, night string) (err error) {
	defer wrap(&err, "backup of %s failed", night)
	return s.endBackup(ctx, night, "failed", "", 0)
}

func (s *Store) endBackup(ctx context.Context, night, state, file string, bytes int64) error {
	return s.inTx(ctx, func(q querier) error {
		return q.do(ctx, `
			UPDATE backups SET state = ?, ended_at = ?, file = ?, bytes = ?
			WHERE night = ? AND (state <> 'made' OR ? = 'made')`, state, formatTime(s.now()), file, bytes, night, state)
	})
}

// LastBackup returns when the latest nightly backup was made by any program on this store;
// the zero time if none was. One recorded in the future does not count: it would hide how
// long ago the last real one is.
func (s *Store) LastBackup(ctx context.Context) (at time.Time, err error) {
	defer wrap(&err, "last backup")
	err = s.look().Row(ctx, `
		SELECT COALESCE(MAX(ended_at), '') FROM backups WHERE state = 'made' AND ended_at <= ?`, latestBy(s.now()),
	).Scan(ifAny{&at})
	return at, err
}

// LastBackup returns when the latest nightly backup of the community's store was made; the
// zero time if none was.
func (g *Group) LastBackup(ctx context.Context) (time.Time, error) { return g.store.LastBackup(ctx) }
