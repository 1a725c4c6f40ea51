package knowledge

import (
	"context"
	"database/sql"
	"time"

	"holdbench/internal/database"
)

// querier is the one way to the store: every SQL text goes through its methods and
// [database.Collect].
type querier struct {
	database.Querier
	own   *vocabularyCache // in a writing transaction: the names as only it sees them
	added *[]addedTest     // in a writing transaction: the tests that it has logged
}

// do runs a statement.
func (q querier) do(ctx context.Context, statement string, args ...any) error {
	_, err := q.Exec(ctx, statement, args...)
	return err
}

// The formats of times and days in the store.
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

// collectNamed runs a query and returns what scan makes of each row with the community's
// names as q sees them.
func collectNamed[T any](ctx context.Context, g *Group, q querier, scan func(*Vocabulary, *sql.Rows, *T) error,
	query string, args ...any) ([]T, error) {
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return nil, err
	}
	return database.Collect(ctx, q, func(rows *sql.Rows, one *T) error { return scan(v, rows, one) }, query, args...)
}

// resultOf runs do in a snapshot or in a writing transaction, and returns its result.
func resultOf[T any](ctx context.Context, run func(context.Context, func(querier) error) error,
	do func(q querier) (T, error)) (result T, err error) {
	err = run(ctx, func(q querier) (err error) {
		result, err = do(q)
		return err
	})
	return result, err
}
