package knowledge

import (
	"context"
	"database/sql"
	"encoding/json"
	"reflect"
	"time"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// mergeChange is what undoing a merge takes: both sides as they were.
type mergeChange struct {
	Goes, Stays, Left trade.Product
	Chain             []int64            // products that had gone into the one that goes
	Rows              map[string][]int64 // rows of the one that goes, by table
	Held, HeldAfter   holdings           // of both
	Asked             []askedRow         // about both
	Said              []saidRow          // of both
}

// holdings are the rows of two products that a merge puts together.
type holdings struct {
	Stock  []stockRow
	Claims []claimRow
	Box    []int64 // what waits there
}

type stockRow struct {
	ID, Member, Product, Instrument, Syringe int64
	On                                       string
}

type claimRow struct {
	ID, Product     int64
	State, ClosedOn string
}

type askedRow struct {
	Member, Product, Instrument, Syringe int64
	On, At                               string
}

type saidRow struct {
	Product, Instrument, Syringe int64
	State                        string
	Tests, Members, Near         int64
	Ceiling, Target              float64
	LeastTests, LeastMembers     int64
}

// rowsMoved are the tables whose rows go over by their numbers and nothing else.
var rowsMoved = [...]string{"box_items", "classes", "setup_looks", "verdict_changes", "list_changes"}

// beforeMerge reads what undoing the merge would take.
func (g *Group) beforeMerge(ctx context.Context, q querier, goes, stays trade.Product) (m mergeChange, err error) {
	m = mergeChange{Goes: goes, Stays: stays, Rows: map[string][]int64{}}
	for _, table := range rowsMoved {
		if m.Rows[table], err = database.Collect(ctx, q, database.Column[int64], `
			SELECT id FROM `+table+`
			WHERE community_id = ? AND product_id = ? ORDER BY id`, g.id, goes.ID); err != nil {
			return m, err
		}
	}
	if m.Chain, err = database.Collect(ctx, q, database.Column[int64],
		`SELECT id FROM products WHERE community_id = ? AND merged_into = ? ORDER BY id`, g.id, goes.ID); err != nil {
		return m, err
	}
	m.Asked, err = database.Collect(ctx, q, func(rows *sql.Rows, a *askedRow) error {
		return rows.Scan(&a.Member, &a.Product, &a.Instrument, &a.Syringe, &a.On, &a.At)
	}, `
		SELECT member_id, product_id, instrument_id, syringe_id, asked_on, asked_at
		FROM asked WHERE community_id = ? AND product_id IN (?, ?)`, g.id, goes.ID, stays.ID)
	if err != nil {
		return m, err
	}
	m.Said, err = database.Collect(ctx, q, func(rows *sql.Rows, s *saidRow) error {
		return rows.Scan(&s.Product, &s.Instrument, &s.Syringe, &s.State, &s.Tests, &s.Members, &s.Near, &s.Ceiling,
			&s.Target, &s.LeastTests, &s.LeastMembers)
	}, `
		SELECT product_id, instrument_id, syringe_id, state, tests, members, near, ceiling_s, target_share,
		       least_tests, least_members
		FROM verdicts WHERE community_id = ? AND product_id IN (?, ?)`, g.id, goes.ID, stays.ID)
	if err != nil {
		return m, err
	}
	m.Held, err = g.holdings(ctx, q, goes.ID, stays.ID)
	return m, err
}

// holdings reads the rows of two products that a merge puts together.
func (g *Group) holdings(ctx context.Context, q querier, a, b int64) (h holdings, err error) {
	h.Stock, err = database.Collect(ctx, q, func(rows *sql.Rows, s *stockRow) error {
		return rows.Scan(&s.ID, &s.Member, &s.Product, &s.Instrument, &s.Syringe, &s.On)
	}, `
		SELECT id, member_id, product_id, COALESCE(instrument_id, 0), syringe_id, stocked_on
		FROM stock WHERE community_id = ? AND product_id IN (?, ?) ORDER BY id`, g.id, a, b)
	if err != nil {
		return h, err
	}
	h.Claims, err = database.Collect(ctx, q, func(rows *sql.Rows, c *claimRow) error {
		return rows.Scan(&c.ID, &c.Product, &c.State, &c.ClosedOn)
	}, `
		SELECT id, product_id, state, closed_on
		FROM claims WHERE community_id = ? AND product_id IN (?, ?) ORDER BY id`, g.id, a, b)
	if err != nil {
		return h, err
	}
	h.Box, err = database.Collect(ctx, q, database.Column[int64], `
		SELECT id FROM box_items
		WHERE community_id = ? AND product_id IN (?, ?) AND state = 'waiting' ORDER BY id`, g.id, a, b)
	return h, err
}

// afterMerge keeps what undoing takes with the line of the history.
func (g *Group) afterMerge(ctx context.Context, q querier, change int64, m mergeChange,
	left trade.Product) (err error) {
	m.Left = left
	if m.HeldAfter, err = g.holdings(ctx, q, m.Goes.ID, m.Stays.ID); err != nil {
		return err
	}
	text, err := json.Marshal(undoing{Merge: &m})
	if err != nil {
		return err
	}
	_, err = q.Exec(ctx, `
		UPDATE list_changes SET undo = ? WHERE community_id = ? AND id = ?`, string(text), g.id, change)
	return err
}

// undo takes a merge apart, unless something has happened since that would have to be
// shared out. A test that was logged since and withdrawn stays where it is.
func (m *mergeChange) undo(ctx context.Context, g *Group, q querier, change int64, at time.Time) error {
	if err := g.unchanged(ctx, q, m.Left); err != nil {
		return err
	}
	since, err := database.Collect(ctx, q, database.Column[int64], `
		SELECT number FROM tests
		WHERE community_id = ? AND product_id = ? AND logged_at > ? AND state = 'kept' ORDER BY number LIMIT 1`,
		g.id, m.Left.ID, formatTime(at))
	if err != nil {
		return err
	}
	if len(since) > 0 {
		return trade.Refuse("undo", "test %d of %s was logged since, and nobody can say of which of the two; withdraw "+
			"it, undo this, and log it anew", since[0], m.Left.Name)
	}
	now, err := g.holdings(ctx, q, m.Goes.ID, m.Stays.ID)
	if err != nil {
		return err
	}
	if !reflect.DeepEqual(now, m.HeldAfter) {
		return trade.Refuse("undo", "what is stocked, taken on or put aside of %s has changed since", m.Left.Name)
	}
	for _, step := range []func(context.Context, *Group, querier, int64) error{m.rowsBack, m.heldBack, m.saidBack,
		m.namesBack} {
		if err := step(ctx, g, q, change); err != nil {
			return err
		}
	}
	return g.recount(ctx, q, m.Goes.ID, m.Stays.ID)
}

// rowsBack moves the tests and whatever else went over by its number.
func (m *mergeChange) rowsBack(ctx context.Context, g *Group, q querier, change int64) error {
	const moved = ` WHERE community_id = ? AND product_id = ? AND `
	const tests = `(SELECT test_id FROM merged_tests WHERE community_id = ? AND change_id = ?)`
	these := []any{m.Goes.ID, g.id, m.Stays.ID, g.id, change}
	err := g.execAll(ctx, q,
		statement{`UPDATE slips SET product_id = ?` + moved + `test_id IN ` + tests, these},
		statement{`UPDATE tests SET product_id = ?` + moved + `id IN ` + tests, these},
		statement{`DELETE FROM appraisals WHERE community_id = ? AND product_id = ?`, []any{g.id, m.Stays.ID}},
		statement{`DELETE FROM merged_tests WHERE community_id = ? AND change_id = ?`, []any{g.id, change}})
	for table, ids := range m.Rows {
		for _, id := range ids {
			if err == nil {
				_, err = q.Exec(ctx, `UPDATE `+table+` SET product_id = ?`+moved+`id = ?`,
					m.Goes.ID, g.id, m.Stays.ID, id)
			}
		}
	}
	return err
}

// heldBack puts back what was stocked, taken on and asked about.
func (m *mergeChange) heldBack(ctx context.Context, g *Group, q querier, _ int64) error {
	all := []statement{{`DELETE FROM stock WHERE community_id = ? AND product_id IN (?, ?)`,
		[]any{g.id, m.Goes.ID, m.Stays.ID}}}
	for _, s := range m.Held.Stock {
		all = append(all, statement{`
			INSERT INTO stock (id, community_id, member_id, product_id, instrument_id, syringe_id, stocked_on)
			VALUES (?, ?, ?, ?, ?, ?, ?)`,
			[]any{s.ID, g.id, s.Member, s.Product, nullID(s.Instrument), s.Syringe, s.On}})
	}
	for _, open := range []bool{false, true} { // of two open ones on one combination there may be one
		for _, c := range m.Held.Claims {
			if (c.ClosedOn == "") == open {
				all = append(all, statement{`
					UPDATE claims SET product_id = ?, state = ?, closed_on = ? WHERE community_id = ? AND id = ?`,
					[]any{c.Product, c.State, c.ClosedOn, g.id, c.ID}})
			}
		}
	}
	for _, a := range m.Asked { // what came over goes; what was asked since stays
		all = append(all, statement{`
			DELETE FROM asked
			WHERE community_id = ? AND member_id = ? AND product_id = ? AND instrument_id = ? AND syringe_id = ?
			      AND asked_on = ? AND asked_at = ?`,
			[]any{g.id, a.Member, m.Stays.ID, a.Instrument, a.Syringe, a.On, a.At}})
	}
	for _, a := range m.Asked {
		all = append(all, statement{`
			INSERT INTO asked (community_id, member_id, product_id, instrument_id, syringe_id, asked_on, asked_at)
			VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
			[]any{g.id, a.Member, a.Product, a.Instrument, a.Syringe, a.On, a.At}})
	}
	return g.execAll(ctx, q, all...)
}

// saidBack puts back what was said of the tested combinations: it is no news.
func (m *mergeChange) saidBack(ctx context.Context, g *Group, q querier, _ int64) error {
	all := []statement{{`DELETE FROM verdicts WHERE community_id = ? AND product_id IN (?, ?)`,
		[]any{g.id, m.Goes.ID, m.Stays.ID}}}
	for _, s := range m.Said {
		all = append(all, statement{`
			INSERT INTO verdicts (community_id, product_id, instrument_id, syringe_id, state, tests, members, near,
			                      ceiling_s, target_share, least_tests, least_members)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
			[]any{g.id, s.Product, s.Instrument, s.Syringe, s.State, s.Tests, s.Members, s.Near, s.Ceiling, s.Target,
				s.LeastTests, s.LeastMembers}})
	}
	return g.execAll(ctx, q, all...)
}

// namesBack gives both their names and says that everything they were known by has
// changed.
func (m *mergeChange) namesBack(ctx context.Context, g *Group, q querier, _ int64) error {
	stays := m.Stays
	if _, err := g.putProduct(ctx, q, stays); err != nil {
		return err
	}
	if err := g.execAll(ctx, q,
		statement{`
			UPDATE products SET merged_into = NULL, first_stocked = ?, log_version = log_version + 1
			WHERE community_id = ? AND id = ?`, []any{m.Goes.FirstStocked, g.id, m.Goes.ID}},
		statement{`UPDATE products SET log_version = log_version + 1 WHERE community_id = ? AND id = ?`,
			[]any{g.id, stays.ID}}); err != nil {
		return err
	}
	for _, id := range m.Chain {
		if _, err := q.Exec(ctx, `
			UPDATE products SET merged_into = ? WHERE community_id = ? AND id = ?`, m.Goes.ID, g.id, id); err != nil {
			return err
		}
	}
	return g.nameProduct(ctx, q, m.Goes)
}
