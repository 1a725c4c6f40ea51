package knowledge

import (
	"context"
	"database/sql"
)

func (sqliteFile) tables(ctx context.Context, q querier) ([]table, error) {
	names, err := collect(ctx, q, scanColumn[string], `
		SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name`)
	if err != nil {
		return nil, err
	}
	tables := make([]table, len(names))
	for i, name := range names {
		if tables[i], err = sqliteTable(ctx, q, name); err != nil {
			return nil, err
		}
	}
	return tables, nil
}

func sqliteTable(ctx context.Context, q querier, name string) (t table, err error) {
	t.name = name
	t.columns, err = collect(ctx, q, scanColumn[string], `SELECT name FROM pragma_table_info(?) ORDER BY cid`, name)
	if err != nil {
		return table{}, err
	}
	var kind string
	t.key, err = collect(ctx, q, func(rows *sql.Rows, column *string) error { return rows.Scan(column, &kind) },
		`SELECT name, type FROM pragma_table_info(?) WHERE pk > 0 ORDER BY pk`, name)
	if err != nil {
		return table{}, err
	}
	if len(t.key) == 1 && kind == "INTEGER" {
		t.number = t.key[0]
	}
	t.pointsAt, err = collect(ctx, q, scanColumn[string], `
		SELECT DISTINCT "table" FROM pragma_foreign_key_list(?) ORDER BY 1`, name)
	return t, err
}

func (sqliteFile) putOff(ctx context.Context, q querier) error {
	_, err := q.exec(ctx, `PRAGMA defer_foreign_keys = ON`)
	return err
}

// count is what AUTOINCREMENT counts, or else the highest number there is.
func (sqliteFile) count(ctx context.Context, q querier, t table) (highest int64, err error) {
	err = q.row(ctx, `
		SELECT COALESCE((SELECT seq FROM sqlite_sequence WHERE name = ?), (SELECT MAX(`+t.number+`) FROM `+t.name+`), 0)`, t.name,
	).Scan(&highest)
	return highest, err
}

// countFrom moves the count of AUTOINCREMENT on; without it the highest number
// there is counts, and nothing can be set.
func (sqliteFile) countFrom(ctx context.Context, q querier, t table, highest int64) error {
	_, err := q.exec(ctx, `
		INSERT INTO sqlite_sequence (name, seq)
		SELECT name, 0 FROM sqlite_master
		WHERE type = 'table' AND name = ? AND sql LIKE '%AUTOINCREMENT%' AND NOT EXISTS (SELECT 1 FROM sqlite_sequence s WHERE s.name = ?)`,
		t.name, t.name)
	if err != nil {
		return err
	}
	_, err = q.exec(ctx, `UPDATE sqlite_sequence SET seq = ? WHERE name = ? AND seq < ?`, highest, t.name, highest)
	return err
}
