package database

import (
	"context"
	"database/sql"
	"slices"
	"strconv"
	"strings"
)

// runner is what a pool, a connection and a transaction have in common.
type runner interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// Querier is the one way to the engine: every SQL text goes through its methods and [Collect]. It has ? for each
// argument, and no ? in a literal or a comment.
type Querier struct {
	runner   runner
	numbered bool // arguments are $1, $2 and so on: PostgreSQL
}

func (q Querier) bind(query string, args []any) (string, []any) {
	if !q.numbered {
		return query, args
	}
	return rebind(query), bits(args)
}

// rebind writes $1, $2 and so on for each ?.
func rebind(query string) string {
	parts := strings.Split(query, "?")
	var b strings.Builder
	for i, part := range parts[:len(parts)-1] {
		b.WriteString(part + "$" + strconv.Itoa(i+1))
	}
	return b.String() + parts[len(parts)-1]
}

// bits replaces booleans by 1 and 0, as SQLite stores them.
func bits(args []any) []any {
	if !slices.ContainsFunc(args, func(arg any) bool { _, is := arg.(bool); return is }) {
		return args
	}
	args = slices.Clone(args)
	for i, arg := range args {
		switch arg {
		case true:
			args[i] = int64(1)
		case false:
			args[i] = int64(0)
		}
	}
	return args
}

// Row runs a query that returns one row.
func (q Querier) Row(ctx context.Context, query string, args ...any) *sql.Row {
	query, args = q.bind(query, args)
	return q.runner.QueryRowContext(ctx, query, args...)
}

// Rows runs a query that returns any number of rows.
func (q Querier) Rows(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	query, args = q.bind(query, args)
	return q.runner.QueryContext(ctx, query, args...)
}

// Exec runs a statement and returns how many rows it changed.
func (q Querier) Exec(ctx context.Context, query string, args ...any) (int64, error) {
	query, args = q.bind(query, args)
	result, err := q.runner.ExecContext(ctx, query, args...)
	if err != nil {
		return 0, err
	}
	return result.RowsAffected()
}

// Collect runs a query and returns what scan reads from each row.
func Collect[T any](
	ctx context.Context, q interface {
		Rows(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	}, scan func(*sql.Rows, *T) error, query string, args ...any,
) (found []T, err error) {
	rows, err := q.Rows(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var one T
		if err := scan(rows, &one); err != nil {
			return nil, err
		}
		found = append(found, one)
	}
	return found, rows.Err()
}

// Column scans a row of one column.
func Column[T any](rows *sql.Rows, one *T) error { return rows.Scan(one) }
