package knowledge

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"holdbench/internal/database"
)

// Noted is when something was last done, by the store's record.
type Noted struct {
	What string // "backup", "weekly prompt", "learning"
	At   time.Time
}

// clockSlack is how far apart the clocks of programs on one store may be. It is the
// project's choice: clocks that are set over the network differ by less than a second.
const clockSlack = 10 * time.Minute

// String is the warning for a time that lies ahead of the clock.
func (n Noted) String() string {
	return fmt.Sprintf("the latest %s is noted at %s, which is still to come: the clock is or was wrong",
		n.What, n.At.UTC().Format("2006-01-02 15:04 UTC"))
}

// Ahead returns those recorded at a time later than now: a clock was wrong. They delay
// nothing, and disappear when the same is done again.
func Ahead(all []Noted, now time.Time) []Noted {
	return slices.DeleteFunc(slices.Clone(all), func(n Noted) bool { return !n.At.After(now.Add(clockSlack)) })
}

// TimesAhead returns the recorded times that are in the future by the store's clock.
func (s *Store) TimesAhead(ctx context.Context) (ahead []Noted, err error) {
	defer wrap(&err, "times ahead of the clock")
	all, err := noted(ctx, s.db.Look())
	return Ahead(all, s.now()), err
}

// noted reads when each of the program's own tasks was last begun.
func noted(ctx context.Context, q database.Querier) ([]Noted, error) {
	return database.Collect(ctx, q, func(rows *sql.Rows, n *Noted) error { return rows.Scan(&n.What, ifAny{&n.At}) }, `
		SELECT 'backup', COALESCE(MAX(claimed_at), '') FROM backups
		UNION ALL SELECT 'weekly prompt', COALESCE(MAX(begun_at), '') FROM notices WHERE kind = ?
		UNION ALL SELECT 'learning', COALESCE(MAX(begun_at), '') FROM spread_turns`, WeeklyPrompt)
}

// leased reports whether a claim still holds at now: it was made less than a lease ago. One
// that lies further than a lease ahead was made by a wrong clock and does not hold.
func leased(claimed, now time.Time, lease time.Duration) bool { return now.Sub(claimed).Abs() < lease }

// latestBy is the latest stored time that does not count as in the future at now.
func latestBy(now time.Time) string { return formatTime(now.Add(clockSlack)) }
