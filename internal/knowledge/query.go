package knowledge

import (
	"context"
	"database/sql"
	"time"
)

// engine is what a pool and a transaction have in common.
type engine interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// querier is the one way to the engine: every SQL text of the store goes
// through its methods and [collect], with ? for each argument.
type querier struct {
	engine engine
	words  func(query string, args []any) (string, []any) // puts both as the engine wants them; nil as they are
	own    *vocabularyCache                               // inside a writing transaction: what nobody else sees yet
}

func (q querier) put(query string, args []any) (string, []any) {
	if q.words == nil {
		return query, args
	}
	return q.words(query, args)
}

// row runs a query that gives one row.
func (q querier) row(ctx context.Context, query string, args ...any) *sql.Row {
	query, args = q.put(query, args)
	return q.engine.QueryRowContext(ctx, query, args...)
}

// rows runs a query that gives any number of rows.
func (q querier) rows(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	query, args = q.put(query, args)
	return q.engine.QueryContext(ctx, query, args...)
}

// exec runs a statement and returns how many rows it changed.
func (q querier) exec(ctx context.Context, query string, args ...any) (int64, error) {
	query, args = q.put(query, args)
	result, err := q.engine.ExecContext(ctx, query, args...)
	if err != nil {
		return 0, err
	}
	return result.RowsAffected()
}

// collect runs a query and returns what scan makes of each row.
func collect[T any](ctx context.Context, q querier, scan func(*sql.Rows, *T) error, query string, args ...any) (found []T, err error) {
	rows, err := q.rows(ctx, query, args...)
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

// The text of times and days in the store.
const (
	timeText = "2006-01-02T15:04:05.000000Z07:00" // RFC 3339, UTC
	dayText  = "2006-01-02"
)

func formatTime(t time.Time) string { return t.UTC().Format(timeText) }

// timeColumn scans a stored time; text that is not one is an error.
type timeColumn struct{ to *time.Time }

// Scan implements sql.Scanner.
func (c timeColumn) Scan(value any) error {
	var text sql.NullString
	if err := text.Scan(value); err != nil {
		return err
	}
	t, err := time.Parse(timeText, text.String)
	*c.to = t.UTC()
	return err
}

// nullID is how a missing row number is stored.
func nullID(id int64) sql.NullInt64 { return sql.NullInt64{Int64: id, Valid: id != 0} }

// scanColumn scans a row of one column.
func scanColumn[T any](rows *sql.Rows, one *T) error { return rows.Scan(one) }
