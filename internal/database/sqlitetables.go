package database

import (
	"context"
	"database/sql"
)

func (sqliteFile) tables(ctx context.Context, q Querier) ([]Table, error) {
	names, err := Collect(ctx, q, Column[string], `
		SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name`)
	if err != nil {
		return nil, err
	}
	tables := make([]Table, len(names))
	for i, name := range names {
		if tables[i], err = sqliteTable(ctx, q, name); err != nil {
			return nil, err
		}
	}
	return tables, nil
}

func sqliteTable(ctx context.Context, q Querier, name string) (t Table, err error) {
	t.Name = name
	t.Columns, err = Collect(ctx, q, Column[string], `SELECT name FROM pragma_table_info(?) ORDER BY cid`, name)
	if err != nil {
		return Table{}, err
	}
	var kind string
	t.Key, err = Collect(ctx, q, func(rows *sql.Rows, column *string) error { return rows.Scan(column, &kind) },
		`SELECT name, type FROM pragma_table_info(?) WHERE pk > 0 ORDER BY pk`, name)
	if err != nil {
		return Table{}, err
	}
	if len(t.Key) == 1 && kind == "INTEGER" {
		t.Number = t.Key[0]
	}
	t.PointsAt, err = Collect(ctx, q, Column[string], `
		SELECT DISTINCT "table" FROM pragma_foreign_key_list(?) ORDER BY 1`, name)
	return t, err
}

func (sqliteFile) putOff(ctx context.Context, q Querier) error {
	_, err := q.Exec(ctx, `PRAGMA defer_foreign_keys = ON`)
	return err
}

// count is what AUTOINCREMENT counts, or else the highest number there is.
func (sqliteFile) count(ctx context.Context, q Querier, t Table) (highest int64, err error) {
	err = q.Row(ctx, `
		SELECT COALESCE((SELECT seq FROM sqlite_sequence WHERE name = ?),
			(SELECT MAX(`+t.Number+`) FROM `+t.Name+`), 0)`, t.Name,
	).Scan(&highest)
	return highest, err
}

// countFrom moves the count of AUTOINCREMENT on; without it the highest number
// there is counts, and nothing can be set.
func (sqliteFile) countFrom(ctx context.Context, q Querier, t Table, highest int64) error {
	_, err := q.Exec(ctx, `
		INSERT INTO sqlite_sequence (name, seq)
		SELECT name, 0 FROM sqlite_master
		WHERE type = 'table' AND name = ? AND sql LIKE '%AUTOINCREMENT%'
		  AND NOT EXISTS (SELECT 1 FROM sqlite_sequence s WHERE s.name = ?)`,
		t.Name, t.Name)
	if err != nil {
		return err
	}
	_, err = q.Exec(ctx, `UPDATE sqlite_sequence SET seq = ? WHERE name = ? AND seq < ?`, highest, t.Name, highest)
	return err
}
