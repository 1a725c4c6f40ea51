package knowledge

import (
	"cmp"
	"context"
	"database/sql"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// Undoable is a change that can still be undone.
type Undoable struct {
	Number int64 // the community's own: 1, 2, 3 in the order made
	LogChange
}

// Undoable returns the changes of the lists and the settings that can still be undone,
// the latest first.
func (g *Group) Undoable(ctx context.Context) (all []Undoable, err error) {
	defer wrap(&err, "changes that can be undone")
	err = g.store.snapshot(ctx, func(q querier) error {
		changes, err := g.storedChanges(ctx, q, `c.undo <> '' AND c.changed_at >= ? ORDER BY c.id DESC`,
			formatTime(g.store.now().Add(-UndoFor)))
		for _, c := range changes {
			all = append(all, c.Undoable)
		}
		return err
	})
	return all, err
}

// storedChange is a line of the history as stored, with what undoing it takes.
type storedChange struct {
	Undoable
	listChange
	id   int64
	undo string
}

// storedChanges reads the lines of the lists and the settings that a condition selects.
func (g *Group) storedChanges(ctx context.Context, q querier, which string, args ...any) ([]storedChange, error) {
	return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, s *storedChange) error {
		m, c := &s.By, &s.listChange
		err := rows.Scan(&s.id, &s.Number, &c.action, timeColumn{&s.At}, &c.product, &c.other, &c.instrument, &c.syringe,
			&c.before, &c.after, &s.Reason, &s.undo, &m.ID, &m.Ref, &m.Name, &m.Role)
		s.Action, s.ProductID, s.Before, s.After = c.action, c.product, c.before, c.after
		s.named(v, c.instrument, c.syringe)
		return err
	}, `
		SELECT c.id, (SELECT COUNT(*) FROM list_changes o WHERE o.community_id = c.community_id AND o.id <= c.id),
		       c.action, c.changed_at, COALESCE(c.product_id, 0), COALESCE(c.other_id, 0),
		       COALESCE(c.instrument_id, 0), COALESCE(c.syringe_id, 0), c.before, c.after, c.reason, c.undo,
		       m.id, m.ref, m.name, m.role
		FROM list_changes c
		JOIN members m ON m.community_id = c.community_id AND m.id = c.member_id
		WHERE c.community_id = ? AND `+which, append([]any{g.id}, args...)...)
}

// UndoChange undoes a change of the lists or the settings by its number, and returns it.
// Estimates that depend on it are made anew.
//
// Errors: *FieldError if it is too late, or if something has changed since that prevents
// it; ErrDuplicate if a name is taken by now; ErrNotFound for a change or member that is not
// there.
func (g *Group) UndoChange(ctx context.Context, number int64, by Member) (undone LogChange, err error) {
	defer wrap(&err, "undo change %d", number)
	if number < 1 {
		return LogChange{}, notFound("change")
	}
	var c storedChange
	err = g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
		found, err := g.storedChanges(ctx, q, `TRUE ORDER BY c.id LIMIT 1 OFFSET ?`, number-1)
		if err != nil {
			return err
		}
		if len(found) == 0 {
			return notFound("change")
		}
		if c = found[0]; c.undo == "" || g.store.now().Sub(c.At) > UndoFor {
			return trade.Refuse("undo", "that was undone before, or is longer ago than an hour")
		}
		if err := g.undo(ctx, q, c); err != nil {
			return err
		}
		if err := q.do(ctx, `
			UPDATE list_changes SET undo = '' WHERE community_id = ? AND id = ?`, g.id, c.id); err != nil {
			return err
		}
		line := listChange{product: c.product, instrument: c.instrument, syringe: c.syringe, action: UndoneAct,
			before: c.after, after: c.before, by: by}
		if line.before == "" && line.after == "" {
			line.after = string(c.action)
		}
		_, err = g.noteListChange(ctx, q, line)
		return err
	})
	if err != nil {
		return LogChange{}, err
	}
	_ = g.bringUpToDate(ctx, goBy) // if it fails, the next question does it
	return c.LogChange, nil
}

// undo puts back the rows of a change, and does what follows from that.
func (g *Group) undo(ctx context.Context, q querier, c storedChange) error {
	if err := g.checkUnused(ctx, q, c); err != nil {
		return err
	}
	if err := g.putRowsBack(ctx, q, c.listChange, c.undo, c.about()); err != nil {
		return err
	}
	if err := g.bumpVocabulary(ctx, q); err != nil {
		return err
	}
	table, column, id := c.listed()
	switch {
	case c.action == AddedAct: // the row stays, because its number must never be given twice
		today, err := g.today(ctx, q)
		if err != nil {
			return err
		}
		return q.do(ctx, `UPDATE `+table+` SET retired_on = ? WHERE community_id = ? AND id = ?`, today, g.id, id)
	case c.action == MergedAct:
		return g.unmergeTests(ctx, q, c)
	case c.action == ClassSetAct:
		return g.testsChanged(ctx, q, id, id)
	case c.action == NameDroppedAct: // by now another name may be drawn like it
		p, err := g.productByID(ctx, q, id)
		if err != nil {
			return err
		}
		return g.checkProductsApart(ctx, q, p)
	case table != "products":
		return g.testedWith(ctx, q, column, id)
	}
	return nil
}

// about is what a change was about, in words.
func (c storedChange) about() string { return cmp.Or(c.Product, c.Tool, "the same setting") }

// listed returns what a change was about: its table, the column that points at it, and its
// row number.
func (c listChange) listed() (table, column string, id int64) {
	switch {
	case c.instrument != 0:
		return "instruments", "instrument_id", c.instrument
	case c.syringe != 0:
		return "syringes", "syringe_id", c.syringe
	}
	return "products", "product_id", c.product
}

// checkUnused refuses to undo the addition of what has been used since, and a merge after
// which a test was logged that counts.
func (g *Group) checkUnused(ctx context.Context, q querier, c storedChange) error {
	_, column, id := c.listed()
	switch c.action {
	case AddedAct:
		for _, table := range [...]string{"tests", "stock", "claims", "box_items", "classes"} {
			var n int
			err := q.Row(ctx, `SELECT COUNT(*) FROM `+table+` WHERE community_id = ? AND `+column+` = ?`, g.id, id).Scan(&n)
			if err != nil {
				return err
			}
			if n > 0 {
				return trade.Refuse("undo", "%s is in use by now: it was tested, stocked, taken on or put aside; retire "+
					"it instead", c.about())
			}
		}
	case MergedAct:
		since, err := database.Collect(ctx, q, database.Column[int64], `
			SELECT number FROM tests
			WHERE community_id = ? AND product_id = ? AND logged_at > ? AND state = 'kept' ORDER BY number LIMIT 1`,
			g.id, id, formatTime(c.At))
		if err != nil {
			return err
		}
		if len(since) > 0 {
			return trade.Refuse("undo", "test %d of %s was logged since, and nobody can say of which of the two; "+
				"withdraw it, undo this, and log it anew", since[0], c.about())
		}
	}
	return nil
}

// unmergeTests moves back the tests that came over with a merge. A test that was logged
// since and withdrawn stays where it is.
func (g *Group) unmergeTests(ctx context.Context, q querier, c storedChange) error {
	const came = ` IN (SELECT test_id FROM merged_tests WHERE community_id = ? AND change_id = ?)`
	args := []any{c.other, g.id, c.product, g.id, c.id}
	err := g.execAll(ctx, q,
		statement{`UPDATE slips SET product_id = ? WHERE community_id = ? AND product_id = ? AND test_id` + came, args},
		statement{`UPDATE tests SET product_id = ? WHERE community_id = ? AND product_id = ? AND id` + came, args},
		statement{`DELETE FROM appraisals WHERE community_id = ? AND product_id = ?`, []any{g.id, c.product}},
		statement{`DELETE FROM merged_tests WHERE community_id = ? AND change_id = ?`, []any{g.id, c.id}})
	if err != nil {
		return err
	}
	return g.testsChanged(ctx, q, c.product, c.other)
}
