package knowledge

import (
	"context"
	"database/sql"
	"errors"

	"holdbench/internal/trade"
)

// memberTable: a name that is read stands for the platform id as well.
func memberTable(names *memberNames) table[Member] {
	return table[Member]{
		{name: "member", write: func(m *Member) string { return names.write(*m) },
			read: func(m *Member, cell string) error { m.Ref = cell; return nil }},
		words("role", func(m *Member) *Role { return &m.Role }).optionally(),
	}
}

// memberNames finds members by what stands for them in a file: their name where
// no other member could be meant by it, else their platform id.
type memberNames struct {
	byRef  map[string]Member
	byName map[string][]Member // folded
}

func newMemberNames(members []Member) *memberNames {
	n := &memberNames{byRef: make(map[string]Member), byName: make(map[string][]Member)}
	for _, m := range members {
		n.add(m)
	}
	return n
}

func (n *memberNames) add(m Member) {
	n.byRef[m.Ref] = m
	n.byName[trade.Fold(m.Name)] = append(n.byName[trade.Fold(m.Name)], m)
}

// replace brings a member up to date.
func (n *memberNames) replace(m Member) {
	n.byRef[m.Ref] = m
	same := n.byName[trade.Fold(m.Name)]
	for i := range same {
		if same[i].Ref == m.Ref {
			same[i] = m
		}
	}
}

// write returns what stands for a member in a file.
func (n *memberNames) write(m Member) string {
	if m.former() {
		return m.Ref // all of them have one name
	}
	if other, taken := n.byRef[m.Name]; taken && other.ID != m.ID || len(n.byName[trade.Fold(m.Name)]) > 1 {
		return m.Ref
	}
	return m.Name
}

// FileNames are what stands for members in a file, without those who were erased.
func FileNames(members []Member) (names []string) {
	all := newMemberNames(members)
	for _, m := range members {
		if !m.former() {
			names = append(names, all.write(m))
		}
	}
	return names
}

// find returns the member that a cell of a file stands for.
func (n *memberNames) find(cell string) (Member, bool) {
	if m, ok := n.byRef[trade.Tidy(cell)]; ok {
		return m, true
	}
	if found := n.byName[trade.Fold(cell)]; len(found) == 1 {
		return found[0], true
	}
	return Member{}, false
}

func (g *Group) prepareMembers(ctx context.Context, q querier) (in fileImport[Member, Member], err error) {
	members, err := g.members(ctx, q)
	if err != nil {
		return in, err
	}
	list := memberImport{g: g, known: newMemberNames(members), looks: newMemberLooks(members)}
	in.table, in.plan, in.store = memberTable(nil), list.plan, list.store
	list.version, err = g.vocabularyVersion(ctx, q)
	return in, err
}

// memberImport is a file of members on its way into the store.
type memberImport struct {
	g       *Group
	known   *memberNames
	looks   memberLooks
	version int64 // of the vocabulary when the names were checked
}

func (in *memberImport) plan(line Member) (*Member, become, error) {
	m, there := in.known.find(line.Ref)
	old := m.Role
	if !there {
		m = Member{Ref: line.Ref}
	}
	if line.Role != "" {
		m.Role = line.Role
	}
	m = m.filled()
	if there && m.Role == old {
		return nil, already, nil
	}
	if err := m.Validate(); err != nil {
		return nil, 0, err
	}
	if err := in.looks.check(m); err != nil {
		return nil, 0, err
	}
	if there {
		in.known.replace(m)
		return &m, changed, nil
	}
	in.known.add(m)
	in.looks.add(m)
	return &m, added, nil
}

// store stores members whose names were checked against the list. If the list has changed
// since, it checks each of them again.
func (in *memberImport) store(ctx context.Context, q querier, members []*Member) (all []become, err error) {
	version, err := in.g.vocabularyVersion(ctx, q)
	if err != nil {
		return nil, err
	}
	put := in.g.putMember
	if version != in.version {
		put = in.g.admit
	}
	for _, m := range members {
		before, err := in.g.memberByRef(ctx, q, m.Ref)
		if err == nil {
			all, m.Name = append(all, changed), before.Name
		} else if errors.Is(err, sql.ErrNoRows) {
			all, err = append(all, added), nil
		}
		if err == nil {
			_, err = put(ctx, q, *m)
		}
		if err != nil {
			return nil, err
		}
	}
	if version == in.version {
		in.version, err = in.g.vocabularyVersion(ctx, q)
	}
	return all, err
}
