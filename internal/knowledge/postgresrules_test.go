package knowledge

import (
	"slices"
	"strings"
	"testing"
)

// rules are a table's columns and what is unique and pointed at, as text that is the same for both databases.
type rules struct{ columns, unique, pointers []string }

const sqliteColumns = `
	SELECT name || ' ' || type || CASE WHEN "notnull" = 1 OR pk > 0 THEN ' filled' ELSE '' END || COALESCE(' default ' || dflt_value, '')
	FROM pragma_table_info(?) ORDER BY cid`

func sqliteRules(t *testing.T, q querier, shape table) (r rules) {
	t.Helper()
	ctx, name := t.Context(), shape.name
	r.columns = must(collect(ctx, q, scanColumn[string], sqliteColumns, name))(t)
	indexes := must(collect(ctx, q, scanColumn[string], `SELECT name FROM pragma_index_list(?) WHERE "unique" = 1`, name))(t)
	for _, index := range indexes {
		columns := must(collect(ctx, q, scanColumn[string], `SELECT COALESCE(name, 'expression') FROM pragma_index_info(?) ORDER BY seqno`, index))(t)
		r.unique = append(r.unique, strings.Join(columns, ","))
	}
	if shape.number != "" { // the one kind of key that has no index there
		r.unique = append(r.unique, shape.number)
	}
	r.pointers = must(collect(ctx, q, scanColumn[string], `
		SELECT GROUP_CONCAT("from", ',') || '>' || "table" || '(' || GROUP_CONCAT("to", ',') || ')'
		FROM (SELECT * FROM pragma_foreign_key_list(?) ORDER BY id, seq) GROUP BY id`, name))(t)
	return r.sorted()
}

func (r rules) sorted() rules {
	slices.Sort(r.unique)
	r.unique = slices.Compact(r.unique)
	slices.Sort(r.pointers)
	return r
}

func postgresRules(t *testing.T, q querier, name string) (r rules) {
	t.Helper()
	ctx := t.Context()
	types := strings.NewReplacer(" bigint", " INTEGER", " double precision", " REAL", " text", " TEXT", " bytea", " BLOB", "'-1'", "-1")
	for _, column := range must(collect(ctx, q, scanColumn[string], `
		SELECT CAST(a.attname AS TEXT) || ' ' || format_type(a.atttypid, a.atttypmod) || CASE WHEN a.attnotnull THEN ' filled' ELSE '' END
		       || COALESCE(' default ' || pg_get_expr(d.adbin, d.adrelid), '')
		FROM pg_attribute a LEFT JOIN pg_attrdef d ON d.adrelid = a.attrelid AND d.adnum = a.attnum
		WHERE a.attrelid = CAST(? AS REGCLASS) AND a.attnum > 0 AND NOT a.attisdropped ORDER BY a.attnum`, name))(t) {
		column, _, _ = strings.Cut(column, "::") // it adds the type to a default
		r.columns = append(r.columns, types.Replace(column))
	}
	r.unique = must(collect(ctx, q, scanColumn[string], `
		SELECT string_agg(COALESCE(CAST(a.attname AS TEXT), 'expression'), ',' ORDER BY k.place)
		FROM pg_index i
		CROSS JOIN unnest(i.indkey) WITH ORDINALITY AS k (number, place)
		LEFT JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = k.number
		WHERE i.indrelid = CAST(? AS REGCLASS) AND i.indisunique GROUP BY i.indexrelid`, name))(t)
	r.pointers = must(collect(ctx, q, scanColumn[string], `
		SELECT (SELECT string_agg(CAST(a.attname AS TEXT), ',' ORDER BY k.place) FROM unnest(c.conkey) WITH ORDINALITY AS k (number, place)
		        JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = k.number)
		       || '>' || CAST(o.relname AS TEXT) || '(' ||
		       (SELECT string_agg(CAST(a.attname AS TEXT), ',' ORDER BY k.place) FROM unnest(c.confkey) WITH ORDINALITY AS k (number, place)
		        JOIN pg_attribute a ON a.attrelid = c.confrelid AND a.attnum = k.number) || ')'
		FROM pg_constraint c JOIN pg_class o ON o.oid = c.confrelid
		WHERE c.conrelid = CAST(? AS REGCLASS) AND c.contype = 'f'`, name))(t)
	return r.sorted()
}

// checks counts the CHECK rules of a table, in the text that made it or in the
// catalogue.
func checks(t *testing.T, s *Store, name string) (n int) {
	t.Helper()
	if _, file := s.db.(sqliteFile); !file {
		if err := s.look().row(t.Context(), `SELECT COUNT(*) FROM pg_constraint WHERE conrelid = CAST(? AS REGCLASS) AND contype = 'c'`, name).Scan(&n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	var text string
	if err := s.look().row(t.Context(), `SELECT sql FROM sqlite_master WHERE type = 'table' AND name = ?`, name).Scan(&text); err != nil {
		t.Fatal(err)
	}
	for _, part := range sqlParts(text) {
		if part.is("CHECK") {
			n++
		}
	}
	return n
}

func TestBothDatabasesHaveTheSameTablesAndRules(t *testing.T) {
	onlyPostgres(t)
	file, server := openFile(t), openStore(t)
	tables := must(file.db.tables(t.Context(), file.look()))(t)
	if there := must(server.db.tables(t.Context(), server.look()))(t); !slices.EqualFunc(tables, there, table.equal) {
		t.Fatalf("tables\ngot  %+v\nwant %+v", there, tables)
	}
	seen := 0
	for _, shape := range tables {
		got, want := postgresRules(t, server.look(), shape.name), sqliteRules(t, file.look(), shape)
		for what, pair := range map[string][2][]string{"columns": {got.columns, want.columns}, "unique": {got.unique, want.unique}, "pointers": {got.pointers, want.pointers}} {
			if !slices.Equal(pair[0], pair[1]) {
				t.Errorf("%s, %s:\ngot  %q\nwant %q", shape.name, what, pair[0], pair[1])
			}
			seen += len(pair[1])
		}
		n := checks(t, file, shape.name)
		if m := checks(t, server, shape.name); m != n {
			t.Errorf("%s: %d checks, want %d", shape.name, m, n)
		}
		seen += n
	}
	if seen < 400 {
		t.Errorf("only %d columns and rules were compared", seen)
	}
}
