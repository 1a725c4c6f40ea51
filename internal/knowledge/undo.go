package knowledge

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"reflect"
	"slices"
	"time"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// undoing is what undoing a change takes: one of these, each with what was before and
// what is to be there still.
type undoing struct {
	Gel      *gelChange                    `json:",omitempty"`
	Needle   *toolChange[trade.Instrument] `json:",omitempty"`
	Syringe  *toolChange[trade.Syringe]    `json:",omitempty"`
	Apart    *apartChange                  `json:",omitempty"`
	Settings *settingsChange               `json:",omitempty"`
	Merge    *mergeChange                  `json:",omitempty"`
}

type gelChange struct {
	Before *trade.Product // nil where it was added
	After  trade.Product
}

type settingsChange struct{ Before, After Settings }

// Undoable is a change that can still be undone.
type Undoable struct {
	Number int64 // the community's own: 1, 2, 3 as changed
	LogChange
}

// Undoable returns the changes of the lists and the settings that can still be undone,
// the latest first.
func (g *Group) Undoable(ctx context.Context) (all []Undoable, err error) {
	defer wrap(&err, "changes that can be undone")
	err = g.store.snapshot(ctx, func(q querier) error {
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return err
		}
		all, err = database.Collect(ctx, q, func(rows *sql.Rows, u *Undoable) error {
			var instrument, syringe int64
			m := &u.By
			err := rows.Scan(&u.Number, &u.Action, timeColumn{&u.At}, &u.ProductID, &instrument, &syringe, &u.Before,
				&u.After, &u.Reason, &m.ID, &m.Ref, &m.Name, &m.Role)
			u.named(v, instrument, syringe)
			return err
		}, `
			SELECT (SELECT COUNT(*) FROM list_changes o WHERE o.community_id = c.community_id AND o.id <= c.id),
			       c.action, c.changed_at, COALESCE(c.product_id, 0), COALESCE(c.instrument_id, 0),
			       COALESCE(c.syringe_id, 0), c.before, c.after, c.reason, m.id, m.ref, m.name, m.role
			FROM list_changes c
			JOIN members m ON m.community_id = c.community_id AND m.id = c.member_id
			WHERE c.community_id = ? AND c.undo <> '' AND c.changed_at >= ?
			ORDER BY c.id DESC`, g.id, formatTime(g.store.now().Add(-UndoFor)))
		return err
	})
	return all, err
}

// UndoChange puts back what a change of the lists or the settings changed, by its
// number, and returns it. Estimates are made anew where they stood on it.
//
// Errors: *FieldError where it is too late, or where something has changed since that
// stands in the way; ErrDuplicate where a name is taken by now; ErrNotFound for a change
// or member that is not there.
func (g *Group) UndoChange(ctx context.Context, number int64, by Member) (undone LogChange, err error) {
	defer wrap(&err, "undo change %d", number)
	if number < 1 {
		return LogChange{}, notFound("change")
	}
	var u undoing
	err = g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
		var id, instrument, syringe int64
		var text string
		c := &undone
		err = q.Row(ctx, `
			SELECT id, action, changed_at, COALESCE(product_id, 0), COALESCE(instrument_id, 0), COALESCE(syringe_id, 0),
			       before, after, undo
			FROM list_changes WHERE community_id = ? ORDER BY id LIMIT 1 OFFSET ?`, g.id, number-1,
		).Scan(&id, &c.Action, timeColumn{&c.At}, &c.ProductID, &instrument, &syringe, &c.Before, &c.After, &text)
		if errors.Is(err, sql.ErrNoRows) {
			return notFound("change")
		}
		if err != nil {
			return err
		}
		if text == "" || g.store.now().Sub(c.At) > UndoFor {
			return trade.Refuse("undo", "that was undone before, or is longer ago than an hour")
		}
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return err
		}
		c.named(v, instrument, syringe)
		if err := json.Unmarshal([]byte(text), &u); err != nil {
			return err
		}
		if err := g.undo(ctx, q, u, id, c.At); err != nil {
			return err
		}
		if _, err := q.Exec(ctx, `UPDATE list_changes SET undo = '' WHERE community_id = ? AND id = ?`, g.id, id); err != nil {
			return err
		}
		line := listChange{product: c.ProductID, instrument: instrument, syringe: syringe, action: UndoneAct,
			before: c.After, after: c.Before, by: by}
		if line.before == "" && line.after == "" {
			line.after = string(c.Action)
		}
		_, err = g.noteListChange(ctx, q, line)
		return err
	})
	if err != nil {
		return LogChange{}, err
	}
	g.afterUndoing(ctx, u)
	return undone, nil
}

func (g *Group) undo(ctx context.Context, q querier, u undoing, change int64, at time.Time) error {
	switch {
	case u.Gel != nil:
		return u.Gel.undo(ctx, g, q)
	case u.Needle != nil:
		return g.instrumentList().undo(ctx, g, q, u.Needle)
	case u.Syringe != nil:
		return g.syringeList().undo(ctx, g, q, u.Syringe)
	case u.Apart != nil:
		return u.Apart.undo(ctx, g, q)
	case u.Settings != nil:
		return u.Settings.undo(ctx, g, q)
	case u.Merge != nil:
		return u.Merge.undo(ctx, g, q, change, at)
	}
	return trade.Refuse("undo", "that cannot be undone")
}

// afterUndoing has made anew what stood on the change.
func (g *Group) afterUndoing(ctx context.Context, u undoing) {
	switch {
	case u.Gel != nil:
		g.reestimate(ctx, u.Gel.After.ID)
	case u.Merge != nil:
		g.reestimate(ctx, u.Merge.Goes.ID)
		g.reestimate(ctx, u.Merge.Stays.ID)
	default:
		_ = g.bringUpToDate(ctx, goBy) // the next question does it
	}
}

// unchanged refuses unless a product is as a change left it.
func (g *Group) unchanged(ctx context.Context, q querier, after trade.Product) error {
	now, err := g.productByID(ctx, q, after.ID)
	if err != nil {
		return err
	}
	if now.ID != after.ID || now.Name != after.Name || now.Class != after.Class ||
		!slices.Equal(now.Aliases, after.Aliases) || now.RetiredOn != after.RetiredOn {
		return trade.Refuse("undo", "%s has been changed since: undo that first", after.Name)
	}
	return nil
}

func (c *gelChange) undo(ctx context.Context, g *Group, q querier) error {
	if err := g.unchanged(ctx, q, c.After); err != nil {
		return err
	}
	if c.Before != nil {
		now, err := g.productByID(ctx, q, c.After.ID)
		if err != nil {
			return err
		}
		before := *c.Before
		before.FirstStocked = now.FirstStocked
		_, err = g.updateProduct(ctx, q, before)
		return err
	}
	if err := g.unused(ctx, q, "product_id", c.After.ID, c.After.Name); err != nil {
		return err
	}
	if _, err := q.Exec(ctx, `
		DELETE FROM products_apart WHERE community_id = ? AND ? IN (product_id, other_id)`, g.id, c.After.ID); err != nil {
		return err
	}
	// The row stays, for its number is never given twice; without a name it is on no list.
	if _, err := q.Exec(ctx, `DELETE FROM product_names WHERE community_id = ? AND product_id = ?`, g.id, c.After.ID); err != nil {
		return err
	}
	return g.bumpVocabulary(ctx, q)
}

// unused refuses to take away what somebody has used since it was added.
func (g *Group) unused(ctx context.Context, q querier, column string, id int64, name string) error {
	for _, table := range [...]string{"tests", "stock", "claims", "box_items", "classes"} {
		var n int
		if err := q.Row(ctx, `SELECT COUNT(*) FROM `+table+` WHERE community_id = ? AND `+column+` = ?`, g.id, id).Scan(&n); err != nil {
			return err
		}
		if n > 0 {
			return trade.Refuse("undo", "%s is in use by now: it was tested, stocked, taken on or put aside; retire "+
				"it instead", name)
		}
	}
	return nil
}

// undo puts back those settings that the change set and that are as it left them.
func (c *settingsChange) undo(ctx context.Context, g *Group, q querier) error {
	now, err := g.settings(ctx, q)
	if err != nil {
		return err
	}
	was, is, to := reflect.ValueOf(c.Before), reflect.ValueOf(c.After), reflect.ValueOf(&now).Elem()
	for i := range was.NumField() {
		if was.Field(i).Equal(is.Field(i)) {
			continue
		}
		if !to.Field(i).Equal(is.Field(i)) {
			return trade.Refuse("undo", "the same setting has been changed since: undo that first")
		}
		to.Field(i).Set(was.Field(i))
	}
	return g.putSettings(ctx, q, now)
}
