package knowledge

import (
	"context"

	"holdbench/internal/database"
)

// Choices is what a member has agreed to; at first, nothing.
type Choices struct {
	MayMention   bool // the program may mention the member in the reminder channel
	TellVerdicts bool // the program may tell the member when a verdict changes that they asked about
}

// Choices returns what a member has agreed to. ErrNotFound for somebody who is
// not a member.
func (g *Group) Choices(ctx context.Context, m Member) (c Choices, err error) {
	defer wrap(&err, "choices")
	err = g.store.snapshot(ctx, func(q querier) error {
		if m, err = g.resolveMember(ctx, q, m); err != nil {
			return err
		}
		return q.Row(ctx, `
			SELECT may_mention, tell_verdicts
			FROM members WHERE community_id = ? AND id = ?`, g.id, m.ID,
		).Scan(&c.MayMention, &c.TellVerdicts)
	})
	return c, err
}

// SetChoices stores what a member agrees to. ErrNotFound for somebody who is not a member.
func (g *Group) SetChoices(ctx context.Context, m Member, c Choices) (err error) {
	defer wrap(&err, "set choices")
	return g.store.inTx(ctx, func(q querier) error {
		if m, err = g.resolveMember(ctx, q, m); err != nil {
			return err
		}
		return q.do(ctx, `
			UPDATE members SET may_mention = ?, tell_verdicts = ?
			WHERE community_id = ? AND id = ?`, c.MayMention, c.TellVerdicts, g.id, m.ID)
	})
}

// Mentionable returns the row numbers of the members who may be mentioned.
func (g *Group) Mentionable(ctx context.Context) (agreed map[int64]bool, err error) {
	defer wrap(&err, "mentionable members")
	ids, err := database.Collect(ctx, g.store.look(), database.Column[int64], `
		SELECT id FROM members WHERE community_id = ? AND may_mention = 1`, g.id)
	agreed = make(map[int64]bool, len(ids))
	for _, id := range ids {
		agreed[id] = true
	}
	return agreed, err
}
