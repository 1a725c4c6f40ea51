package knowledge

import (
	"context"
	"database/sql"
	"time"

	"holdbench/internal/database"
)

// CheckedAct: a trainer has looked at a test and lets it stand.
const CheckedAct Action = "checked"

// Check says who has looked at a test, and when.
type Check struct {
	TestID int64
	By     Member
	At     time.Time
}

// CheckTest records that somebody has looked at a test and lets it stand. A test may be
// checked again by anybody; the latest check counts.
//
// Errors: ErrNotFound for a test or member that is not there.
func (g *Group) CheckTest(ctx context.Context, id int64, by Member) (c Check, err error) {
	defer wrap(&err, "check test %d", id)
	c = Check{TestID: id, At: g.store.now().UTC().Truncate(timeStep)}
	err = g.store.inTx(ctx, func(q querier) error {
		if c.By, err = g.resolveMember(ctx, q, by); err != nil {
			return err
		}
		if _, err := g.test(ctx, q, id); err != nil {
			return err
		}
		_, err = q.Exec(ctx, `
			INSERT INTO test_checks (community_id, test_id, member_id, checked_at)
			VALUES (?, `+testRow+`, ?, ?)`, g.id, g.id, id, c.By.ID, formatTime(c.At))
		return err
	})
	if err != nil {
		return Check{}, err
	}
	return c, nil
}

// checks returns the latest check of each test that has one.
func (g *Group) checks(ctx context.Context, q querier) (map[int64]Check, error) {
	found, err := database.Collect(ctx, q, func(rows *sql.Rows, c *Check) error {
		return rows.Scan(&c.TestID, timeColumn{&c.At}, &c.By.ID, &c.By.Ref, &c.By.Name, &c.By.Role)
	}, `
		SELECT t.number, k.checked_at, m.id, m.ref, m.name, m.role
		FROM test_checks k
		JOIN tests t ON t.community_id = k.community_id AND t.id = k.test_id
		JOIN members m ON m.community_id = k.community_id AND m.id = k.member_id
		WHERE k.community_id = ? ORDER BY k.id`, g.id)
	latest := make(map[int64]Check, len(found))
	for _, c := range found {
		latest[c.TestID] = c
	}
	return latest, err
}
