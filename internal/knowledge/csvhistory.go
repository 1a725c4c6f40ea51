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
		{name: "test", write: func(p *pastTest) string { return strconv.FormatInt(p.TestID, 10) }},
		words("action", func(p *pastTest) *Action { return &p.Action }),
		{name: "changed_at", write: func(p *pastTest) string { return p.At.Format(time.RFC3339) }},
		{name: "by", write: func(p *pastTest) string { return names.write(p.By) }},
		words("reason", func(p *pastTest) *string { return &p.Reason }),
		words("state", func(p *pastTest) *State { return &p.test.State }),
	}
	for _, c := range testTable(fileNames{members: names}) {
		t = append(t, column[pastTest]{name: c.name, write: func(p *pastTest) string { return c.write(&p.test) }})
	}
	return t
}

// exportHistory writes every withdrawal, restoration and correction with the test as it
// stands now: what a file of tests leaves out.
func (g *Group) exportHistory(ctx context.Context, w io.Writer, names *memberNames) error {
	var past []pastTest
	err := g.store.snapshot(ctx, func(q querier) error {
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
	return historyTable(names).writeTo(w, past)
}

func (g *Group) allChanges(ctx context.Context, q querier) ([]Change, error) {
	return database.Collect(ctx, q, scanChange, `
		SELECT t.number, c.action, c.changed_at, c.reason, m.id, m.ref, m.name, m.role
		FROM test_changes c
		JOIN tests t ON t.community_id = c.community_id AND t.id = c.test_id
		JOIN members m ON m.community_id = c.community_id AND m.id = c.member_id
		WHERE c.community_id = ? ORDER BY c.id`, g.id)
}
