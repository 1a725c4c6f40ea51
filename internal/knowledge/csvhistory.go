package knowledge

import (
	"context"
	"io"
	"strconv"
	"time"

	"holdbench/internal/database"
)

func historyColumns() []column {
	columns := []column{{name: "test"}, {name: "action"}, {name: "changed_at"}, {name: "by"}, {name: "reason"},
		{name: "state"}}
	return append(columns, testColumns()...)
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
	names := newMemberNames(members)
	sheet := newSheetWriter(w, historyColumns())
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
			cells := []string{strconv.FormatInt(c.TestID, 10), string(c.Action), c.At.Format(time.RFC3339),
				names.write(c.By), c.Reason, string(t.State)}
			sheet.row(append(cells, testCells(t, names)...)...)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return sheet.close()
}

func (g *Group) allChanges(ctx context.Context, q querier) ([]Change, error) {
	return database.Collect(ctx, q, scanChange, `
		SELECT t.number, c.action, c.changed_at, c.reason, m.id, m.ref, m.name, m.role
		FROM test_changes c
		JOIN tests t ON t.community_id = c.community_id AND t.id = c.test_id
		JOIN members m ON m.community_id = c.community_id AND m.id = c.member_id
		WHERE c.community_id = ? ORDER BY c.id`, g.id)
}
