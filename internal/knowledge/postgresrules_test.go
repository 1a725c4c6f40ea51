package knowledge

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/database"
	"holdbench/internal/database/databasetest"
)

// rules are a table's columns and what is unique and pointed at, as text that is the same for both databases.
type rules struct{ columns, unique, pointers []string }

const sqliteColumns = `
	SELECT name || ' ' || type || CASE WHEN "notnull" = 1 OR pk > 0 THEN ' filled' ELSE '' END || COALESCE(' default ' || dflt_value, '')
	FROM pragma_table_info(?) ORDER BY cid`

func sqliteRules(t *testing.T, q querier, shape database.Table) (r rules) {
	t.Helper()
	ctx, name := t.Context(), shape.Name
	r.columns = must(database.Collect(ctx, q, database.Column[string], sqliteColumns, name))(t)
	indexes := must(database.Collect(ctx, q, database.Column[string], `SELECT name FROM pragma_index_list(?) WHERE "unique" = 1`, name))(t)
	for _, index := range indexes {
		columns := must(database.Collect(ctx, q, database.Column[string], `SELECT COALESCE(name, 'expression') FROM pragma_index_info(?) ORDER BY seqno`, index))(t)
		r.unique = append(r.unique, strings.Join(columns, ","))
	}
	if shape.Number != "" { // the one kind of key that has no index there
		r.unique = append(r.unique, shape.Number)
	}
	r.pointers = must(database.Collect(ctx, q, database.Column[string], `
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
	types := strings.NewReplacer(" bigint", " INTEGER", " double precision", " REAL", " text", " TEXT", " bytea",
		" BLOB", "'-1'", "-1")
	for _, column := range must(database.Collect(ctx, q, database.Column[string], `
		SELECT CAST(a.attname AS TEXT) || ' ' || format_type(a.atttypid, a.atttypmod) || CASE WHEN a.attnotnull THEN ' filled' ELSE '' END
		       || COALESCE(' default ' || pg_get_expr(d.adbin, d.adrelid), '')
		FROM pg_attribute a LEFT JOIN pg_attrdef d ON d.adrelid = a.attrelid AND d.adnum = a.attnum
		WHERE a.attrelid = CAST(? AS REGCLASS) AND a.attnum > 0 AND NOT a.attisdropped ORDER BY a.attnum`, name))(t) {
		column, _, _ = strings.Cut(column, "::") // it adds the type to a default
		r.columns = append(r.columns, types.Replace(column))
	}
	r.unique = must(database.Collect(ctx, q, database.Column[string], `
		SELECT string_agg(COALESCE(CAST(a.attname AS TEXT), 'expression'), ',' ORDER BY k.place)
		FROM pg_index i
		CROSS JOIN unnest(i.indkey) WITH ORDINALITY AS k (number, place)
		LEFT JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = k.number
		WHERE i.indrelid = CAST(? AS REGCLASS) AND i.indisunique GROUP BY i.indexrelid`, name))(t)
	r.pointers = must(database.Collect(ctx, q, database.Column[string], `
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
	if IsURL(s.Name()) {
		if err := s.look().Row(t.Context(), `SELECT COUNT(*) FROM pg_constraint WHERE conrelid = CAST(? AS REGCLASS) AND contype = 'c'`, name).Scan(&n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	var text string
	if err := s.look().Row(t.Context(), `SELECT sql FROM sqlite_master WHERE type = 'table' AND name = ?`, name).Scan(&text); err != nil {
		t.Fatal(err)
	}
	return len(regexp.MustCompile(`\bCHECK\b`).FindAllString(regexp.MustCompile(`--.*`).ReplaceAllString(text, ""), -1))
}

func TestBothDatabasesHaveTheSameTablesAndRules(t *testing.T) {
	t.Parallel()
	databasetest.Only(t)
	file, server := openFile(t), openStore(t)
	tables := must(file.db.Tables(t.Context()))(t)
	if there := must(server.db.Tables(t.Context()))(t); !cmp.Equal(tables, there) {
		t.Fatalf("tables\ngot  %+v\nwant %+v", there, tables)
	}
	seen := 0
	for _, shape := range tables {
		got, want := postgresRules(t, server.look(), shape.Name), sqliteRules(t, file.look(), shape)
		for what, pair := range map[string][2][]string{"columns": {got.columns, want.columns},
			"unique": {got.unique, want.unique}, "pointers": {got.pointers, want.pointers}} {
			if !slices.Equal(pair[0], pair[1]) {
				t.Errorf("%s, %s:\ngot  %q\nwant %q", shape.Name, what, pair[0], pair[1])
			}
			seen += len(pair[1])
		}
		n := checks(t, file, shape.Name)
		if m := checks(t, server, shape.Name); m != n {
			t.Errorf("%s: %d checks, want %d", shape.Name, m, n)
		}
		seen += n
	}
	if seen < 400 {
		t.Errorf("only %d columns and rules were compared", seen)
	}
}
