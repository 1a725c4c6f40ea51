package knowledge

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"holdbench/internal/database"
)

// Noted is when something was last done, as the store has it.
type Noted struct {
	What string // "backup", "weekly prompt", "learning"
	At   time.Time
}

// clockSlack is how far apart the clocks of programs on one store may be (project's
// choice: machines that keep their clocks by the net are apart by less than a second).
const clockSlack = 10 * time.Minute

// String says what it means that it lies ahead of the clock.
func (n Noted) String() string {
	return fmt.Sprintf("the latest %s is noted at %s, which is still to come: the clock is or was wrong",
		n.What, n.At.UTC().Format("2006-01-02 15:04 UTC"))
}

// Ahead are those noted at a time that is still to come at now: one of the clocks
// was wrong. They hold nothing up, and pass when the same is done again.
func Ahead(all []Noted, now time.Time) []Noted {
	return slices.DeleteFunc(slices.Clone(all), func(n Noted) bool { return !n.At.After(now.Add(clockSlack)) })
}

// TimesAhead looks by the store's clock for times that are still to come.
func (s *Store) TimesAhead(ctx context.Context) (ahead []Noted, err error) {
	defer wrap(&err, "times ahead of the clock")
	all, err := noted(ctx, s.db.Look())
	return Ahead(all, s.now()), err
}

// noted reads when what the program does by itself was last begun.
func noted(ctx context.Context, q database.Querier) ([]Noted, error) {
	return database.Collect(ctx, q, func(rows *sql.Rows, n *Noted) error { return rows.Scan(&n.What, ifAny{&n.At}) }, `
		SELECT 'backup', COALESCE(MAX(claimed_at), '') FROM backups
		UNION ALL SELECT 'weekly prompt', COALESCE(MAX(begun_at), '') FROM notices WHERE kind = ?
		UNION ALL SELECT 'learning', COALESCE(MAX(begun_at), '') FROM spread_turns`, WeeklyPrompt)
}

// leased reports whether a claim made at a time still holds at now: made less than
// a lease ago. One that lies further ahead than that was made by a wrong clock.
func leased(claimed, now time.Time, lease time.Duration) bool { return now.Sub(claimed).Abs() < lease }

// latestBy is the latest time that is not still to come at now, as it is stored.
func latestBy(now time.Time) string { return formatTime(now.Add(clockSlack)) }
