package database

import (
	"context"
	"database/sql"
)

func (p *postgres) tables(ctx context.Context, q Querier) ([]Table, error) {
	names, err := Collect(ctx, q, Column[string], `
		SELECT CAST(c.relname AS TEXT) COLLATE "C"
		FROM pg_catalog.pg_class c
		JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace
		WHERE n.nspname = current_schema() AND c.relkind = 'r' AND c.relname <> 'store_version'
		ORDER BY 1`)
	if err != nil {
		return nil, err
	}
	tables, at := make([]Table, len(names)), map[string]*Table{}
	for i, name := range names {
		tables[i].Name, at[name] = name, &tables[i]
	}
	for _, part := range [...]struct {
		query string
		add   func(t *Table, found string, numbered bool)
	}{
		{postgresColumns, func(t *Table, column string, numbered bool) {
			t.Columns = append(t.Columns, column)
			if numbered {
				t.Number = column
			}
		}},
		{postgresKeys, func(t *Table, column string, _ bool) { t.Key = append(t.Key, column) }},
		{postgresPointers, func(t *Table, other string, _ bool) { t.PointsAt = append(t.PointsAt, other) }},
	} {
		_, err := Collect(ctx, q, func(rows *sql.Rows, _ *struct{}) error {
			var name, found string
			var numbered bool
			err := rows.Scan(&name, &found, &numbered)
			if t := at[name]; t != nil && err == nil {
				part.add(t, found, numbered)
			}
			return err
		}, part.query)
		if err != nil {
			return nil, err
		}
	}
	return tables, nil
}

// What the catalogue says of the tables of the schema, a row for each part: the
// table, the part, and whether it is a number that the server gives.
const (
	postgresColumns = `
		SELECT CAST(c.relname AS TEXT), CAST(a.attname AS TEXT), a.attidentity <> ''
		FROM pg_catalog.pg_attribute a
		JOIN pg_catalog.pg_class c ON c.oid = a.attrelid AND c.relkind = 'r'
		JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace AND n.nspname = current_schema()
		WHERE a.attnum > 0 AND NOT a.attisdropped ORDER BY c.oid, a.attnum`
	postgresKeys = `
		SELECT CAST(c.relname AS TEXT), CAST(a.attname AS TEXT), false
		FROM pg_catalog.pg_constraint r
		JOIN pg_catalog.pg_class c ON c.oid = r.conrelid
		JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace AND n.nspname = current_schema()
		CROSS JOIN unnest(r.conkey) WITH ORDINALITY AS k (number, place)
		JOIN pg_catalog.pg_attribute a ON a.attrelid = c.oid AND a.attnum = k.number
		WHERE r.contype = 'p' ORDER BY c.oid, k.place`
	postgresPointers = `
		SELECT DISTINCT CAST(c.relname AS TEXT) COLLATE "C", CAST(o.relname AS TEXT) COLLATE "C", false
		FROM pg_catalog.pg_constraint r
		JOIN pg_catalog.pg_class c ON c.oid = r.conrelid
		JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace AND n.nspname = current_schema()
		JOIN pg_catalog.pg_class o ON o.oid = r.confrelid
		WHERE r.contype = 'f' ORDER BY 1, 2`
)

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
