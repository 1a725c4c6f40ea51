package knowledge

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// schema is what a database tells of its own tables. What copies a store goes by
// it, so that a new migration needs no word there.
type schema interface {
	// tables are the tables of the store, by name. Those that the database keeps for
	// itself are not among them.
	tables(ctx context.Context, q querier) ([]table, error)
	// putOff puts rules that point at other rows off to the end of the transaction.
	putOff(ctx context.Context, q querier) error
	// count is the highest number that a table has given to a row, also to one that
	// is no more; 0 for none. It is known for tables with a number column only.
	count(ctx context.Context, q querier, t table) (int64, error)
	// countFrom has a table give higher numbers from now on.
	countFrom(ctx context.Context, q querier, t table, highest int64) error
}

// table is the shape of a table.
type table struct {
	name     string
	columns  []string // in order
	key      []string // the primary key
	number   string   // the key, if the database gives it as a number; "" else
	pointsAt []string // other tables, by name
}

const communityColumn = "community_id"

// belongs is the column that says which community a row is of, "" for a table
// that is the store's own.
func (t table) belongs() string {
	switch {
	case t.name == "communities":
		return "id"
	case slices.Contains(t.columns, communityColumn):
		return communityColumn
	}
	return ""
}

func (t table) equal(u table) bool {
	return t.name == u.name && slices.Equal(t.columns, u.columns) && slices.Equal(t.key, u.key) && t.number == u.number
}

// inOrder are the tables with those first that others point at.
func inOrder(tables []table) (ordered []table, err error) {
	placed := map[string]bool{}
	for len(ordered) < len(tables) {
		before := len(ordered)
		for _, t := range tables {
			waits := slices.ContainsFunc(t.pointsAt, func(at string) bool { return at != t.name && !placed[at] })
			if !placed[t.name] && !waits {
				ordered, placed[t.name] = append(ordered, t), true
			}
		}
		if len(ordered) == before {
			return nil, fmt.Errorf("tables point at each other in a circle, or at none of the store's")
		}
	}
	return ordered, nil
}

// where is the condition for the rows of some communities, or of the store's own.
func (t table) where(communities []int64) string {
	if t.belongs() == "" {
		return "1 = 1"
	}
	if len(communities) == 0 {
		return "1 = 0"
	}
	numbers := make([]string, len(communities))
	for i, id := range communities {
		numbers[i] = fmt.Sprint(id)
	}
	return t.belongs() + " IN (" + strings.Join(numbers, ", ") + ")"
}
