package knowledge

import (
	"context"
	"database/sql"
	"strconv"
	"strings"
	"time"

	"holdbench/internal/database"
)

// Unconfirmed is something that was stored without its maker being told, because the answer
// failed.
type Unconfirmed struct {
	What, How string    // in words: "7.13 s", "was stored as test 145 of …"
	At        time.Time // when it was stored
	Tests     []int64   // the numbers of the tests, which can be withdrawn
}

// unconfirmedFor is how long it is kept; by then the bench day is over.
const unconfirmedFor = 24 * time.Hour

// KeepUnconfirmed stores what a member has not been told. ErrNotFound for somebody who is not
// a member.
func (g *Group) KeepUnconfirmed(ctx context.Context, m Member, all ...Unconfirmed) (err error) {
	defer wrap(&err, "keep what is not confirmed")
	return g.store.inTx(ctx, func(q querier) error {
		if m, err = g.resolveMember(ctx, q, m); err != nil {
			return err
		}
		for _, u := range all {
			numbers := make([]string, len(u.Tests))
			for i, id := range u.Tests {
				numbers[i] = strconv.FormatInt(id, 10)
			}
			if err := q.do(ctx, `
				INSERT INTO unconfirmed (community_id, member_id, what, how, stored_at, tests) VALUES (?, ?, ?, ?, ?, ?)`,
				g.id, m.ID, u.What, u.How, formatTime(u.At), strings.Join(numbers, ",")); err != nil {
				return err
			}
		}
		return nil
	})
}

// TakeUnconfirmed removes and returns what a member has not been told, the earliest first,
// without what is older than a day. For somebody who is not a member it returns nothing.
func (g *Group) TakeUnconfirmed(ctx context.Context, m Member) (all []Unconfirmed, err error) {
	defer wrap(&err, "take what is not confirmed")
	if all, err = g.unconfirmed(ctx, g.store.look(), m.Ref); err != nil || len(all) == 0 {
		return nil, err // as a rule there is nothing, and nothing is written
	}
	err = g.store.inTx(ctx, func(q querier) error {
		if all, err = g.unconfirmed(ctx, q, m.Ref); err != nil {
			return err
		}
		return q.do(ctx, `
			DELETE FROM unconfirmed WHERE community_id = ? AND member_id IN (
				SELECT id FROM members WHERE community_id = ? AND ref = ?)`, g.id, g.id, m.Ref)
	})
	var recent []Unconfirmed
	for _, u := range all {
		if g.store.now().Sub(u.At) < unconfirmedFor {
			recent = append(recent, u)
		}
	}
	return recent, err
}

func (g *Group) unconfirmed(ctx context.Context, q querier, ref string) ([]Unconfirmed, error) {
	return database.Collect(ctx, q, func(rows *sql.Rows, u *Unconfirmed) error {
		numbers := ""
		if err := rows.Scan(&u.What, &u.How, timeColumn{&u.At}, &numbers); err != nil {
			return err
		}
		for number := range strings.SplitSeq(numbers, ",") {
			if id, err := strconv.ParseInt(number, 10, 64); err == nil {
				u.Tests = append(u.Tests, id)
			}
		}
		return nil
	}, `
		SELECT u.what, u.how, u.stored_at, u.tests FROM unconfirmed u
		JOIN members m ON m.community_id = u.community_id AND m.id = u.member_id
		WHERE u.community_id = ? AND m.ref = ? ORDER BY u.id`, g.id, ref)
}
