package database

import "context"

func (sqliteFile) shape() shapeQueries {
	const tables = ` FROM sqlite_master m JOIN `
	const ours = ` WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%'`
	return shapeQueries{
		columns: `
			SELECT m.name, c.name, c.pk = 1 AND c.type = 'INTEGER'
				AND (SELECT COUNT(*) FROM pragma_table_info(m.name) WHERE pk > 0) = 1` +
			tables + `pragma_table_info(m.name) c` + ours + ` ORDER BY m.name, c.cid`,
		keys: `SELECT m.name, c.name, 0` +
			tables + `pragma_table_info(m.name) c` + ours + ` AND c.pk > 0 ORDER BY m.name, c.pk`,
		pointers: `SELECT DISTINCT m.name, p."table", 0` +
			tables + `pragma_foreign_key_list(m.name) p` + ours + ` ORDER BY 1, 2`,
	}
}

func (sqliteFile) putOff(ctx context.Context, q Querier) error {
	_, err := q.Exec(ctx, `PRAGMA defer_foreign_keys = ON`)
	return err
}

// count is the count of AUTOINCREMENT, or without one the highest number in the table.
func (sqliteFile) count(ctx context.Context, q Querier, t Table) (highest int64, err error) {
	err = q.Row(ctx, `
		SELECT COALESCE((SELECT seq FROM sqlite_sequence WHERE name = ?),
			(SELECT MAX(`+t.Number+`) FROM `+t.Name+`), 0)`, t.Name,
	).Scan(&highest)
	return highest, err
}

// countFrom raises the count of AUTOINCREMENT. A table without one counts from its highest number, which cannot be set.
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
