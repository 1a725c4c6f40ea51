package database

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// catalogue is what an engine tells of its own tables. What copies a store goes by
// it, so that a new migration needs no word there.
type catalogue interface {
	// tables are the tables of the store, by name. Those that the database keeps for
	// itself are not among them.
	tables(ctx context.Context, q Querier) ([]Table, error)
	// putOff puts rules that point at other rows off to the end of the transaction.
	putOff(ctx context.Context, q Querier) error
	// count is the highest number that a table has given to a row, also to one that
	// is no more; 0 for none. It is known for tables with a number column only.
	count(ctx context.Context, q Querier, t Table) (int64, error)
	// countFrom has a table give higher numbers from now on.
	countFrom(ctx context.Context, q Querier, t Table, highest int64) error
}

// Table is the shape of a table.
type Table struct {
	Name     string
	Columns  []string // in order
	Key      []string // the primary key
	Number   string   // the key, if the engine gives it as a number; "" else
	PointsAt []string // other tables, by name
}

// belongs is the column that says which tenant a row is of, "" for a table that is
// the store's own.
func (s Schema) belongs(t Table) string {
	switch {
	case t.Name == s.Tenants:
		return "id"
	case slices.Contains(t.Columns, s.TenantColumn):
		return s.TenantColumn
	}
	return ""
}

// Tables are the tables of the store, by name.
func (db *DB) Tables(ctx context.Context) ([]Table, error) { return db.engine.tables(ctx, db.Look()) }

func (t Table) equal(u Table) bool {
	return t.Name == u.Name && slices.Equal(t.Columns, u.Columns) && slices.Equal(t.Key, u.Key) && t.Number == u.Number
}

// inOrder are the tables with those first that others point at.
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
			return nil, fmt.Errorf("tables point at each other in a circle, or at none of the store's")
		}
	}
	return ordered, nil
}

// where is the condition for the rows of some tenants, or of the store's own.
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
