package knowledge

import (
	"context"
	"database/sql"
	"time"
)

// LogChange is one line of the history: what was done to a test, the lists or the settings,
// by whom and why.
type LogChange struct {
	Action        Action
	By            Member
	At            time.Time
	TestID        int64  // 0 if it is about no test
	Product       string // its present name
	ProductID     int64
	Tool          string // the needle, cannula or syringe that it is about; "" for none
	Before, After string // what was and what is, in words; "" for a test
	Reason        string // "" if none was given
}

// named fills in the present names of the gel and of the needle or syringe.
func (c *LogChange) named(v *Vocabulary, instrument, syringe int64) {
	p, _ := pick(v.Products, v.productByID, c.ProductID)
	c.Product = p.Name
	if i, is := pick(v.Instruments, v.instrumentByID, instrument); is {
		c.Tool = i.Name()
	}
	if s, is := pick(v.Syringes, v.syringeByID, syringe); is {
		c.Tool = s.Name + " syringe"
	}
}

// ChangeFilter selects changes; a field that is 0 or empty selects all.
type ChangeFilter struct {
	TestID, ProductID, MemberID int64
	Since                       time.Time // that moment included
	Limit                       int       // at most so many, the latest; 0 for all
	Skip                        int       // leave out so many of the latest; needs a Limit
}

// Changes returns the history, the latest first: every test logged, imported, withdrawn,
// restored, corrected or checked, every change of the lists and the settings, every set-up
// looked at.
func (g *Group) Changes(ctx context.Context, f ChangeFilter) (changes []LogChange, err error) {
	defer wrap(&err, "changes")
	condition, args := f.condition()
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]LogChange, error) {
		return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, c *LogChange) error {
			var instrument, syringe int64
			m := &c.By
			err := rows.Scan(&c.Action, timeColumn{&c.At}, &c.TestID, &c.ProductID, &instrument, &syringe, &c.Before,
				&c.After, &c.Reason, &m.ID, &m.Ref, &m.Name, &m.Role)
			c.named(v, instrument, syringe)
			return err
		}, changesOfOne+condition, append([]any{g.id, g.id, g.id, g.id, g.id}, args...)...)
	})
}

// changesOfOne selects the history of one community; its row number is the argument five
// times. kind and id give what happened at the same moment a fixed order.
const changesOfOne = `
	SELECT c.action, c.at, c.test, c.product_id, c.instrument_id, c.syringe_id, c.before, c.after, c.reason,
	       m.id, m.ref, m.name, m.role
	FROM (
		SELECT community_id, entered AS action, logged_at AS at, number AS test, product_id, 0 AS instrument_id,
		       0 AS syringe_id, '' AS before, '' AS after, '' AS reason, COALESCE(entered_by, tester_id) AS member_id,
		       1 AS kind, id
		FROM tests WHERE community_id = ?
		UNION ALL
		SELECT t.community_id, h.action, h.changed_at, t.number, t.product_id, 0, 0, '', '', h.reason, h.member_id, 2, h.id
		FROM test_changes h JOIN tests t ON t.community_id = h.community_id AND t.id = h.test_id
		WHERE h.community_id = ?
		UNION ALL
		SELECT t.community_id, 'checked', k.checked_at, t.number, t.product_id, 0, 0, '', '', '', k.member_id, 3, k.id
		FROM test_checks k JOIN tests t ON t.community_id = k.community_id AND t.id = k.test_id
		WHERE k.community_id = ?
		UNION ALL
		SELECT community_id, action, changed_at, 0, COALESCE(product_id, 0), COALESCE(instrument_id, 0),
		       COALESCE(syringe_id, 0), before, after, reason, member_id, 4, id
		FROM list_changes WHERE community_id = ?
		UNION ALL
		SELECT community_id, 'looked at', looked_at, 0, product_id, instrument_id, 0, '', '', '', member_id, 5, id
		FROM setup_looks WHERE community_id = ?
	) c
	JOIN members m ON m.community_id = c.community_id AND m.id = c.member_id
	WHERE 1 = 1`

func (f ChangeFilter) condition() (condition string, args []any) {
	narrow := func(narrows bool, by string, value any) {
		if narrows {
			condition += ` AND ` + by
			args = append(args, value)
		}
	}
	narrow(f.TestID != 0, `c.test = ?`, f.TestID)
	narrow(f.ProductID != 0, `c.product_id = ?`, f.ProductID)
	narrow(f.MemberID != 0, `c.member_id = ?`, f.MemberID)
	narrow(!f.Since.IsZero(), `c.at >= ?`, formatTime(f.Since))
	condition += ` ORDER BY c.at DESC, c.kind DESC, c.id DESC`
	if f.Limit > 0 {
		condition += ` LIMIT ? OFFSET ?`
		args = append(args, f.Limit, f.Skip)
	}
	return condition, args
}
