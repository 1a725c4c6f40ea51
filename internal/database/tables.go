package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// catalogue is what an engine tells of its own tables. A copy goes by it, so that a new migration needs no change
// there.
type catalogue interface {
	// shape has the queries that describe the tables, without those that the engine keeps for itself.
	shape() shapeQueries
	// putOff puts the check of foreign keys off to the end of the transaction.
	putOff(ctx context.Context, q Querier) error
	// count is the highest number that a table has given to a row, deleted ones included; 0 for none. The table has a
	// number column.
	count(ctx context.Context, q Querier, t Table) (int64, error)
	// countFrom makes a table give numbers above highest from now on.
	countFrom(ctx context.Context, q Querier, t Table, highest int64) error
}

// shapeQueries describe tables. Each gives rows of three cells: a table; a column of it, or for pointers another
// table; and whether it is a column that the engine numbers rows by. The rows of columns come in the order of tables'
// names.
type shapeQueries struct{ columns, keys, pointers string }

// Table is the shape of a table.
type Table struct {
	Name     string
	Columns  []string // in order
	Key      []string // the primary key
	Number   string   // the key, if the engine numbers rows by it; "" else
	PointsAt []string // other tables, by name
}

// Tables returns the tables of the store, by name.
func (db *DB) Tables(ctx context.Context) ([]Table, error) {
	return readTables(ctx, db.engine, db.Look())
}

func readTables(ctx context.Context, of catalogue, q Querier) (tables []Table, err error) {
	queries := of.shape()
	for _, part := range []struct {
		query string
		add   func(t *Table, found string, numbered bool)
	}{
		{queries.columns, func(t *Table, column string, numbered bool) {
			t.Columns = append(t.Columns, column)
			if numbered {
				t.Number = column
			}
		}},
		{queries.keys, func(t *Table, column string, _ bool) { t.Key = append(t.Key, column) }},
		{queries.pointers, func(t *Table, other string, _ bool) { t.PointsAt = append(t.PointsAt, other) }},
	} {
		_, err := Collect(ctx, q, func(rows *sql.Rows, _ *struct{}) error {
			var name, found string
			var numbered bool
			if err := rows.Scan(&name, &found, &numbered); err != nil {
				return err
			}
			i := slices.IndexFunc(tables, func(t Table) bool { return t.Name == name })
			if i < 0 {
				i, tables = len(tables), append(tables, Table{Name: name})
			}
			part.add(&tables[i], found, numbered)
			return nil
		}, part.query)
		if err != nil {
			return nil, err
		}
	}
	return tables, nil
}

func (t Table) equal(u Table) bool {
	return t.Name == u.Name && slices.Equal(t.Columns, u.Columns) && slices.Equal(t.Key, u.Key) && t.Number == u.Number
}

// inOrder orders tables so that each comes after those that it points at.
func inOrder(tables []Table) (ordered []Table, err error) {
	placed := map[string]bool{}
	for len(ordered) < len(tables) {
		before := len(ordered)
		for _, t := range tables {
			waits := slices.ContainsFunc(t.PointsAt, func(at string) bool { return at != t.Name && !placed[at] })
			if !placed[t.Name] && !waits {
				ordered, placed[t.Name] = append(ordered, t), true
			}
		}
		if len(ordered) == before {
			return nil, errors.New("tables point at each other in a circle, or at a table that is not in the store")
		}
	}
	return ordered, nil
}

// belongs is the column that names a row's tenant, "" for a table whose rows belong to none.
func (s Schema) belongs(t Table) string {
	switch {
	case t.Name == s.Tenants:
		return "id"
	case slices.Contains(t.Columns, s.TenantColumn):
		return s.TenantColumn
	}
	return ""
}

// where is the condition for the rows of some tenants, or for all rows of a table whose rows belong to none.
func (s Schema) where(t Table, tenants []int64) string {
	column := s.belongs(t)
	if column == "" {
		return "1 = 1"
	}
	if len(tenants) == 0 {
		return "1 = 0"
	}
	numbers := make([]string, len(tenants))
	for i, id := range tenants {
		numbers[i] = fmt.Sprint(id)
	}
	return column + " IN (" + strings.Join(numbers, ", ") + ")"
}
