package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"regexp"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// Role is what somebody may do in a community.
type Role string

// The roles. A trainer may do what a member may, and keeps the log in order.
const (
	MemberRole  Role = "member"
	TrainerRole Role = "trainer"
)

// Covers reports whether somebody in role r may do what needs the other role.
func (r Role) Covers(needed Role) bool {
	return r == TrainerRole || r == MemberRole && needed != TrainerRole
}

// Member is somebody who belongs to a community.
type Member struct {
	ID   int64
	Ref  string // the platform's id of the person, unique in the community
	Name string // as shown; the ref if empty
	Role Role   // MemberRole if empty
}

// platformNumber is a platform's id of somebody, which is all digits.
var platformNumber = regexp.MustCompile(`^\d{15,20}$`)

// Validate returns a *FieldError unless m could be admitted.
func (m Member) Validate() error {
	if err := trade.CheckText("member id", m.Ref, 100); err != nil {
		return err
	}
	if err := trade.CheckText("member name", m.Name, 100); err != nil {
		return err
	}
	if err := cmp.Or(trade.CheckDrawn("member id", m.Ref), m.checkNotFormer()); err != nil {
		return err
	}
	if !platformNumber.MatchString(m.Name) { // the id is the name of somebody whose name is not known
		if err := trade.RefusePatientData("member name", m.Name); err != nil {
			return err
		}
	}
	if m.Role != MemberRole && m.Role != TrainerRole {
		return trade.Refuse("role", "%q is not a role; want member or trainer", m.Role)
	}
	return nil
}

// Admit makes somebody a member of the community, or updates a member's name and role. It
// returns the member as stored.
func (g *Group) Admit(ctx context.Context, m Member) (admitted Member, err error) {
	defer wrap(&err, "admit member")
	stored, err := g.memberByRef(ctx, g.store.look(), trade.Tidy(m.Ref))
	if err == nil && stored.sameAs(m) {
		return stored, nil
	}
	return resultOf(ctx, g.store.inTx, func(q querier) (Member, error) {
		return g.admit(ctx, q, m)
	})
}

// sameAs reports whether admitting m would leave the stored member as it is.
func (stored Member) sameAs(m Member) bool {
	m = m.filled()
	m.ID = stored.ID
	return m == stored
}

// filled returns the member with defaults filled in.
func (m Member) filled() Member {
	m.Ref, m.Name = trade.Tidy(m.Ref), trade.Tidy(trade.Visible(m.Name)) // invisible characters are dropped, not refused
	if m.Name == "" {
		m.Name = m.Ref
	}
	if m.Role == "" {
		m.Role = MemberRole
	}
	return m
}

func (g *Group) admit(ctx context.Context, q querier, m Member) (Member, error) {
	m = m.filled()
	if err := m.Validate(); err != nil {
		return Member{}, err
	}
	if err := g.checkMembersApart(ctx, q, m); err != nil {
		return Member{}, err
	}
	return g.putMember(ctx, q, m)
}

// putMember stores a member that was checked.
func (g *Group) putMember(ctx context.Context, q querier, m Member) (Member, error) {
	err := q.Row(ctx, `
		INSERT INTO members (community_id, ref, name, role, admitted_at)
		VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (community_id, ref) DO UPDATE SET name = excluded.name, role = excluded.role
		RETURNING id`,
		g.id, m.Ref, m.Name, m.Role, formatTime(g.store.now()),
	).Scan(&m.ID)
	return m, err
}

// Members returns the members in the order admitted.
func (g *Group) Members(ctx context.Context) (members []Member, err error) {
	defer wrap(&err, "members")
	return g.members(ctx, g.store.look())
}

func (g *Group) members(ctx context.Context, q querier) ([]Member, error) {
	return database.Collect(ctx, q, scanMember, `
		SELECT id, ref, name, role
		FROM members WHERE community_id = ? ORDER BY id`, g.id)
}

// Member returns the member with that platform id. ErrNotFound if none.
func (g *Group) Member(ctx context.Context, ref string) (m Member, err error) {
	defer wrap(&err, "member")
	return g.memberByRef(ctx, g.store.look(), trade.Tidy(ref))
}

func (g *Group) memberByRef(ctx context.Context, q querier, ref string) (m Member, err error) {
	err = q.Row(ctx, `
		SELECT id, ref, name, role
		FROM members WHERE community_id = ? AND ref = ?`, g.id, ref,
	).Scan(&m.ID, &m.Ref, &m.Name, &m.Role)
	return m, err
}

// resolveMember returns the stored member with m's number, or else with its ref. ErrNotFound
// if this community has none.
func (g *Group) resolveMember(ctx context.Context, q querier, m Member) (found Member, err error) {
	if m.ID == 0 {
		found, err = g.memberByRef(ctx, q, trade.Tidy(m.Ref))
	} else {
		err = q.Row(ctx, `
			SELECT id, ref, name, role
			FROM members WHERE community_id = ? AND id = ?`, g.id, m.ID,
		).Scan(&found.ID, &found.Ref, &found.Name, &found.Role)
	}
	if errors.Is(err, sql.ErrNoRows) {
		return Member{}, notFound("member")
	}
	return found, err
}

func scanMember(rows *sql.Rows, m *Member) error {
	return rows.Scan(&m.ID, &m.Ref, &m.Name, &m.Role)
}
