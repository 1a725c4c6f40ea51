package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
)

// FormerMember is the name of every erased member; formerPrefix and a number make the ref
// that tells them apart.
const (
	FormerMember = "a former member"
	formerPrefix = "former member "
)

// former reports whether somebody was erased.
func (m Member) former() bool { return strings.HasPrefix(m.Ref, formerPrefix) }

// ErasedMember is what became of somebody's record.
type ErasedMember struct {
	Tests   int // kept, by a former member
	Stock   int // items deleted
	Claims  int // deleted
	Asked   int // deleted
	Renamed int // notes and reasons that named the member and no longer do
}

// EraseMember erases a person from the community for good: platform id and name, stock,
// claims, choices and what they asked about, the links from their tests to posted films, and
// their name and id in notes and reasons. Their tests, what they put in the box and what
// they did to the log stay, by a former member. The member's row stays too, so that
// estimates still tell one tester from another. Somebody who comes back starts as new.
//
// ErrNotFound for somebody who is not a member.
func (g *Group) EraseMember(ctx context.Context, m Member) (e ErasedMember, err error) {
	return g.eraseMember(ctx, m, nil)
}

// ForgetMember is EraseMember by a trainer, for somebody who left. The history has who did
// it, and not who was forgotten.
//
// Errors: ErrNotFound for somebody who is not a member.
func (g *Group) ForgetMember(ctx context.Context, m, by Member) (e ErasedMember, err error) {
	return g.eraseMember(ctx, m, &by)
}

func (g *Group) eraseMember(ctx context.Context, m Member, by *Member) (e ErasedMember, err error) {
	defer wrap(&err, "erase a member")
	err = g.store.inTx(ctx, func(q querier) error {
		e = ErasedMember{}
		if m, err = g.resolveMember(ctx, q, m); err != nil {
			return err
		}
		if m.former() {
			return notFound("member")
		}
		for _, step := range []func(context.Context, querier, Member, *ErasedMember) error{
			g.dropOwn, g.unlinkRows, g.unname, g.makeFormer,
		} {
			if err := step(ctx, q, m, &e); err != nil {
				return err
			}
		}
		// What undoing a change takes may have rows of the member's in it.
		if err := q.do(ctx, `UPDATE list_changes SET undo = '' WHERE community_id = ? AND undo <> ''`, g.id); err != nil {
			return err
		}
		if by != nil {
			trainer, err := g.resolveMember(ctx, q, *by)
			if err != nil {
				return err
			}
			if _, err := g.noteListChange(ctx, q, listChange{action: ForgottenAct, after: FormerMember,
				by: trainer}); err != nil {
				return err
			}
		}
		return g.bumpVocabulary(ctx, q) // cached tests have the member's ref
	})
	if err != nil {
		return ErasedMember{}, err
	}
	g.store.added.clear()
	g.store.clearTracesNow(ctx)
	return e, nil
}

// dropOwn deletes what is the member's alone. A claim's row number may be used again, so its
// reminder goes too.
func (g *Group) dropOwn(ctx context.Context, q querier, m Member, e *ErasedMember) error {
	err := q.do(ctx, `
		DELETE FROM notices WHERE community_id = ? AND kind = ? AND notice_key IN (
			SELECT CAST(id AS TEXT) FROM claims WHERE community_id = ? AND member_id = ?)`, g.id, ClaimReminder, g.id, m.ID)
	if err != nil {
		return err
	}
	err = q.do(ctx, `
		DELETE FROM notices
		WHERE community_id = ? AND kind = ? AND notice_key LIKE ?`, g.id, VerdictNews, fmt.Sprintf("%d change %%", m.ID))
	if err != nil {
		return err
	}
	for table, gone := range map[string]*int{"stock": &e.Stock, "claims": &e.Claims, "asked": &e.Asked,
		"watches": new(int), "unconfirmed": new(int)} {
		n, err := q.Exec(ctx, `DELETE FROM `+table+` WHERE community_id = ? AND member_id = ?`, g.id, m.ID)
		if err != nil {
			return err
		}
		*gone = int(n)
	}
	return nil
}

// unlinkRows removes from the rows that stay what leads back to the person: a link shows who
// posted a film, and a request key is the platform's id of what they sent.
func (g *Group) unlinkRows(ctx context.Context, q querier, m Member, e *ErasedMember) error {
	tests, err := q.Exec(ctx, `
		UPDATE tests SET film_link = '', request_key = NULL WHERE community_id = ? AND tester_id = ?`, g.id, m.ID)
	if err != nil {
		return err
	}
	e.Tests = int(tests)
	return g.execAll(ctx, q,
		statement{`UPDATE imports SET member_id = NULL WHERE community_id = ? AND member_id = ?`, []any{g.id, m.ID}},
		statement{`UPDATE box_items SET request_key = NULL WHERE community_id = ? AND member_id = ?`, []any{g.id, m.ID}},
		statement{`UPDATE batches SET request_key = NULL WHERE community_id = ? AND member_id = ?`, []any{g.id, m.ID}})
}

// formerRef returns the next free ref of a former member, numbered within the community.
func (g *Group) formerRef(ctx context.Context, q querier) (string, error) {
	for n := 1; ; n++ {
		ref := fmt.Sprint(formerPrefix, n)
		_, err := g.memberByRef(ctx, q, ref)
		if errors.Is(err, sql.ErrNoRows) {
			return ref, nil
		}
		if err != nil {
			return "", err
		}
	}
}

// makeFormer makes the member's row that of a former member.
func (g *Group) makeFormer(ctx context.Context, q querier, m Member, _ *ErasedMember) error {
	ref, err := g.formerRef(ctx, q)
	if err != nil {
		return err
	}
	return q.do(ctx, `
		UPDATE members SET ref = ?, name = ?, role = ?, admitted_at = '', may_mention = 0, tell_verdicts = 0, direct_at = ''
		WHERE community_id = ? AND id = ?`, ref, FormerMember, MemberRole, g.id, m.ID)
}
