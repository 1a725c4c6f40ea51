package knowledge

import (
	"context"
	"database/sql"
	"strings"
)

func (p *postgres) tables(ctx context.Context, q querier) ([]table, error) {
	names, err := collect(ctx, q, scanColumn[string], `
		SELECT CAST(c.relname AS TEXT) COLLATE "C"
		FROM pg_catalog.pg_class c
		JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace
		WHERE n.nspname = current_schema() AND c.relkind = 'r' AND c.relname <> 'store_version'
		ORDER BY 1`)
	if err != nil {
		return nil, err
	}
	tables, at := make([]table, len(names)), map[string]*table{}
	for i, name := range names {
		tables[i].name, at[name] = name, &tables[i]
	}
	for _, part := range [...]struct {
		query string
		add   func(t *table, found string, numbered bool)
	}{
		{postgresColumns, func(t *table, column string, numbered bool) {
			t.columns = append(t.columns, column)
			if numbered {
				t.number = column
			}
		}},
		{postgresKeys, func(t *table, column string, _ bool) { t.key = append(t.key, column) }},
		{postgresPointers, func(t *table, other string, _ bool) { t.pointsAt = append(t.pointsAt, other) }},
	} {
		_, err := collect(ctx, q, func(rows *sql.Rows, _ *struct{}) error {
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

func (p *postgres) putOff(ctx context.Context, q querier) error {
	_, err := q.exec(ctx, `SET CONSTRAINTS ALL DEFERRED`)
	return err
}

func (p *postgres) count(ctx context.Context, q querier, t table) (highest int64, err error) {
	err = q.row(ctx, `
		SELECT GREATEST(
			COALESCE(pg_sequence_last_value(CAST(pg_get_serial_sequence(?, ?) AS REGCLASS)), 0),
			(SELECT COALESCE(MAX(`+t.number+`), 0) FROM `+t.name+`))`, t.name, t.number,
	).Scan(&highest)
	return highest, err
}

func (p *postgres) countFrom(ctx context.Context, q querier, t table, highest int64) error {
	_, err := q.exec(ctx, `
		SELECT setval(CAST(pg_get_serial_sequence(?, ?) AS REGCLASS), ?)
		WHERE CAST(? AS BIGINT) > COALESCE(pg_sequence_last_value(CAST(pg_get_serial_sequence(?, ?) AS REGCLASS)), 0)`,
		t.name, t.number, highest, highest, t.name, t.number)
	return err
}

// countOn has every table give numbers beyond those of its rows: rows that were
// put in with their numbers are not counted by PostgreSQL.
func (p *postgres) countOn(ctx context.Context, q querier) error {
	tables, err := p.tables(ctx, q)
	if err != nil {
		return err
	}
	var counts []string
	for _, t := range tables {
		if t.number == "" {
			continue
		}
		counter := `CAST(pg_get_serial_sequence('` + t.name + `', '` + t.number + `') AS REGCLASS)`
		counts = append(counts, `
			SELECT setval(`+counter+`, r.highest) FROM (SELECT MAX(`+t.number+`) AS highest FROM `+t.name+`) r
			WHERE r.highest > COALESCE(pg_sequence_last_value(`+counter+`), 0)`)
	}
	_, err = q.exec(ctx, strings.Join(counts, ` UNION ALL `))
	return err
}
