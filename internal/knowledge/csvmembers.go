package knowledge

import (
	"context"
	"io"

	"holdbench/internal/trade"
)

func memberColumns() []column { return []column{{name: "member"}, {"role", true}} }

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

// ExportMembers writes the members in the order admitted.
func (g *Group) ExportMembers(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "export members")
	members, err := g.Members(ctx)
	if err != nil {
		return err
	}
	names := newMemberNames(members)
	sheet := newSheetWriter(w, memberColumns())
	for _, m := range members {
		sheet.row(names.write(m), string(m.Role))
	}
	return sheet.close()
}

// ImportMembers admits the members of a file, each by the name in it, which
// becomes the platform id as well. A member who is there already gets the role.
//
// Faults come back in the report with nothing stored, unless skipBad is set.
func (g *Group) ImportMembers(ctx context.Context, r io.Reader, skipBad bool) (report ImportReport, err error) {
	defer wrap(&err, "import members")
	return g.importSheet(ctx, r, memberColumns(), skipBad, func(ctx context.Context, q querier) (func(sheetRow) (become, error), error) {
		members, err := g.members(ctx, q)
		if err != nil {
			return nil, err
		}
		known := newMemberNames(members)
		return func(row sheetRow) (become, error) { return g.importMember(ctx, q, known, row) }, nil
	})
}

func (g *Group) importMember(ctx context.Context, q querier, known *memberNames, row sheetRow) (become, error) {
	m, there := known.find(row.get("member"))
	old := m.Role
	if !there {
		m = Member{Ref: row.get("member")}
	}
	if role := row.get("role"); role != "" {
		m.Role = Role(role)
	}
	m = m.filled()
	if there && m.Role == old {
		return already, nil
	}
	m, err := g.admit(ctx, q, m)
	if err != nil {
		return 0, err
	}
	if there {
		return changed, nil
	}
	known.add(m)
	return added, nil
}
