package knowledge

import (
	"context"
	"database/sql"
	"time"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// Adopt gives a community another ref, so that a log begun in the local room continues in a
// server. ErrNotFound if no community has the old ref, ErrDuplicate if one has the new.
func (s *Store) Adopt(ctx context.Context, from, to string) (err error) {
	defer wrap(&err, "community %q as %q", from, to)
	if err := trade.CheckText("community id", to, 100); err != nil {
		return err
	}
	return s.inTx(ctx, func(q querier) error {
		changed, err := q.Exec(ctx, `UPDATE communities SET ref = ? WHERE ref = ?`, to, from)
		if err == nil && changed == 0 {
			return ErrNotFound
		}
		return err
	})
}

// Leave records that the program has left the community's server. What the community knows
// stays until EraseDue. A second call changes nothing.
func (g *Group) Leave(ctx context.Context) (err error) {
	defer wrap(&err, "leave %q", g.ref)
	return g.set(ctx, `UPDATE communities SET left_at = ? WHERE id = ? AND left_at = ''`, formatTime(g.store.now()))
}

// Return records that the program is back in the community's server.
func (g *Group) Return(ctx context.Context) (err error) {
	defer wrap(&err, "return to %q", g.ref)
	left, err := g.Left(ctx)
	if err != nil || left.IsZero() {
		return err // it never left
	}
	return g.set(ctx, `UPDATE communities SET left_at = ? WHERE id = ?`, "")
}

// Left returns when the program left the community's server; the zero time if it is there.
func (g *Group) Left(ctx context.Context) (at time.Time, err error) {
	defer wrap(&err, "left %q", g.ref)
	err = g.store.look().Row(ctx, `SELECT left_at FROM communities WHERE id = ?`, g.id).Scan(ifAny{&at})
	return at, err
}

// set runs an UPDATE of the community with a new value and its number.
func (g *Group) set(ctx context.Context, statement string, value any) error {
	return g.store.inTx(ctx, func(q querier) error {
		return q.do(ctx, statement, value, g.id)
	})
}

// CommunitiesOf returns the refs of the communities that somebody is a member of, in the
// order joined. member is the platform's id of the person. chosen is the community that they
// have chosen to answer their direct messages, "" for none.
func (s *Store) CommunitiesOf(ctx context.Context, member string) (refs []string, chosen string, err error) {
	defer wrap(&err, "communities of a member")
	refs, err = database.Collect(ctx, s.look(), func(rows *sql.Rows, ref *string) error {
		at := ""
		if err := rows.Scan(ref, &at); err != nil || at == "" {
			return err
		}
		chosen = *ref
		return nil
	}, `
		SELECT c.ref, m.direct_at FROM members m
		JOIN communities c ON c.id = m.community_id
		WHERE m.ref = ? ORDER BY m.id`, trade.Tidy(member))
	return refs, chosen, err
}

// AnswerDirect records which of their communities a member has chosen to answer their direct
// messages. ErrNotFound for somebody who is not a member.
func (s *Store) AnswerDirect(ctx context.Context, member, community string) (err error) {
	defer wrap(&err, "answer a member directly")
	return s.inTx(ctx, func(q querier) error {
		ref := trade.Tidy(member)
		if err := q.do(ctx, `UPDATE members SET direct_at = '' WHERE ref = ? AND direct_at <> ''`, ref); err != nil {
			return err
		}
		n, err := q.Exec(ctx, `
			UPDATE members SET direct_at = ?
			WHERE ref = ? AND community_id = (SELECT id FROM communities WHERE ref = ?)`,
			formatTime(s.now()), ref, community)
		if err == nil && n == 0 {
			return ErrNotFound
		}
		return err
	})
}
