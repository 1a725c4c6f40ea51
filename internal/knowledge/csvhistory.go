package knowledge

import (
	"context"
	"io"
	"strconv"
	"time"

	"holdbench/internal/database"
)

// pastTest is a change of a test, and the test as it stands.
type pastTest struct {
	Change
	test BenchTest
}

func historyTable(names *memberNames) table[pastTest] {
	t := table[pastTest]{
		{"test", false, func(p pastTest) string { return strconv.FormatInt(p.TestID, 10) }, nil},
		{"action", false, func(p pastTest) string { return string(p.Action) }, nil},
		{"changed_at", false, func(p pastTest) string { return p.At.Format(time.RFC3339) }, nil},
		{"by", false, func(p pastTest) string { return names.write(p.By) }, nil},
		{"reason", false, func(p pastTest) string { return p.Reason }, nil},
		{"state", false, func(p pastTest) string { return string(p.test.State) }, nil},
	}
	for _, c := range testTable(names) {
		t = append(t, written[pastTest]{c.name, false, func(p pastTest) string { return c.cell(p.test) }, nil})
	}
	return t
}

// ExportHistory writes every withdrawal, restoration and correction, with the
// test it was about as it stands: what ExportTests leaves out. It is for
// reading, not for importing.
func (g *Group) ExportHistory(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "export history")
	members, err := g.Members(ctx)
	if err != nil {
		return err
	}
	var past []pastTest
	err = g.store.snapshot(ctx, func(q querier) error {
		changes, err := g.allChanges(ctx, q)
		if err != nil {
			return err
		}
		for _, c := range changes {
			t, err := g.test(ctx, q, c.TestID)
			if err != nil {
				return err
			}
			past = append(past, pastTest{c, t})
		}
		return nil
	})
	if err != nil {
		return err
	}
	return historyTable(newMemberNames(members)).write(w, past)
}

func (g *Group) allChanges(ctx context.Context, q querier) ([]Change, error) {
	return database.Collect(ctx, q, scanChange, `
		SELECT t.number, c.action, c.changed_at, c.reason, m.id, m.ref, m.name, m.role
		FROM test_changes c
		JOIN tests t ON t.community_id = c.community_id AND t.id = c.test_id
		JOIN members m ON m.community_id = c.community_id AND m.id = c.member_id
		WHERE c.community_id = ? ORDER BY c.id`, g.id)
}
