package database

import "context"

func (*postgres) shape() shapeQueries {
	// The tables in the schema of the store, but for the one that marks it as a store.
	const ours = ` JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace AND n.nspname = current_schema()
		AND c.relkind = 'r' AND c.relname <> 'store_version'`
	return shapeQueries{
		columns: `
			SELECT CAST(c.relname AS TEXT) COLLATE "C", CAST(a.attname AS TEXT), a.attidentity <> ''
			FROM pg_catalog.pg_attribute a
			JOIN pg_catalog.pg_class c ON c.oid = a.attrelid` + ours + `
			WHERE a.attnum > 0 AND NOT a.attisdropped ORDER BY 1, a.attnum`,
		keys: `
			SELECT CAST(c.relname AS TEXT), CAST(a.attname AS TEXT), false
			FROM pg_catalog.pg_constraint r
			JOIN pg_catalog.pg_class c ON c.oid = r.conrelid` + ours + `
			CROSS JOIN unnest(r.conkey) WITH ORDINALITY AS k (number, place)
			JOIN pg_catalog.pg_attribute a ON a.attrelid = c.oid AND a.attnum = k.number
			WHERE r.contype = 'p' ORDER BY c.oid, k.place`,
		pointers: `
			SELECT DISTINCT CAST(c.relname AS TEXT) COLLATE "C", CAST(o.relname AS TEXT) COLLATE "C", false
			FROM pg_catalog.pg_constraint r
			JOIN pg_catalog.pg_class c ON c.oid = r.conrelid` + ours + `
			JOIN pg_catalog.pg_class o ON o.oid = r.confrelid
			WHERE r.contype = 'f' ORDER BY 1, 2`,
	}
}

func (p *postgres) putOff(ctx context.Context, q Querier) error {
	_, err := q.Exec(ctx, `SET CONSTRAINTS ALL DEFERRED`)
	return err
}

func (p *postgres) count(ctx context.Context, q Querier, t Table) (highest int64, err error) {
	err = q.Row(ctx, `
		SELECT GREATEST(
			COALESCE(pg_sequence_last_value(CAST(pg_get_serial_sequence(?, ?) AS REGCLASS)), 0),
			(SELECT COALESCE(MAX(`+t.Number+`), 0) FROM `+t.Name+`))`, t.Name, t.Number,
	).Scan(&highest)
	return highest, err
}

func (p *postgres) countFrom(ctx context.Context, q Querier, t Table, highest int64) error {
	_, err := q.Exec(ctx, `
		SELECT setval(CAST(pg_get_serial_sequence(?, ?) AS REGCLASS), ?)
		WHERE CAST(? AS BIGINT) > COALESCE(pg_sequence_last_value(CAST(pg_get_serial_sequence(?, ?) AS REGCLASS)), 0)`,
		t.Name, t.Number, highest, highest, t.Name, t.Number)
	return err
}
