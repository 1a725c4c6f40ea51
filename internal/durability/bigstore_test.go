package durability

import (
	"bytes"
	"database/sql"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// The large store: many communities, all copies of the first.
const (
	communities = 1000
	products    = 100
	testsEach   = 1000 // in a community
	rowsApart   = 2000 // between the row numbers of one community and the next
)

// firstCommunity makes a store with one community that has so many gels and tests.
func firstCommunity(t *testing.T, path string, products, testsEach int) {
	t.Helper()
	ctx := t.Context()
	store := must(knowledge.Open(ctx, path))(t)
	group := must(store.Found(ctx, knowledge.NewCommunity{Ref: ref(0), Name: "Circle"}))(t)
	must(group.Admit(ctx, knowledge.Member{Ref: member}))(t)
	var names, tubes, tests bytes.Buffer
	names.WriteString("name,gel_class\n")
	tubes.WriteString("kind,gauge,length_mm,wall\nneedle,27,13,thin\nneedle,30,13,thin\nneedle,31,8,thin\n")
	tests.WriteString("tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note\n")
	classes := calc.GelClasses()
	for n := range products {
		fmt.Fprintf(&names, "%s,%s\n", bigGel(n), classes[n%len(classes)])
	}
	for n := range testsEach {
		fmt.Fprintf(&tests, "2026-01-%02d,%s,%s,%s,supplied,whole milk,20,0.1,30,flashback,%.2f,video 30 fps,\n",
			1+n%28, member, bigGel(n%products), needles[n/products%len(needles)], 0.5+float64(n%89)/20)
	}
	for _, file := range []struct {
		kind knowledge.FileKind
		text *bytes.Buffer
	}{{knowledge.ProductFile, &names}, {knowledge.InstrumentFile, &tubes}, {knowledge.TestFile, &tests}} {
		report := must(group.Import(ctx, file.kind, knowledge.RowsOf(file.text), knowledge.Importing{}))(t)
		if len(report.Faults) > 0 || report.Added == 0 {
			t.Fatalf("%+v", report)
		}
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
}

func ref(n int) string { return strconv.Itoa(700_000_000_000 + n) }

var firstWords = []string{"Alder", "Birch", "Cedar", "Damson", "Elder", "Fir", "Gorse", "Hazel", "Ivy", "Larch"}
var lastWords = []string{"Amber", "Basalt", "Coral", "Dusk", "Ember", "Flint", "Garnet", "Haze", "Indigo", "Jasper"}

func bigGel(n int) string { return firstWords[n%10] + " " + lastWords[n/10%10] }

// multiplied are the tables that are copied, rowColumns their columns that hold row numbers.
var multiplied = []string{"communities", "members", "products", "product_names", "instruments", "syringes", "tests",
	"tested_combinations"}
var rowColumns = []string{"id", "community_id", "product_id", "instrument_id", "syringe_id", "tester_id"}

// multiply copies the first community until there are so many. It writes rows straight into
// the file: to log the tests one by one would take most of a day.
func multiply(t *testing.T, path string, times, testsEach int) {
	t.Helper()
	db := must(sql.Open("sqlite3", "file:"+path+"?_synchronous=OFF&_journal_mode=OFF"))(t)
	defer db.Close()
	for _, table := range multiplied {
		columns := must(texts(db, `SELECT name FROM pragma_table_info('`+table+`')`))(t)
		values := slices.Clone(columns)
		for i, column := range columns {
			switch {
			case slices.Contains(rowColumns, column):
				values[i] = fmt.Sprintf("f.%s + n.k * %d", column, rowsApart)
			case table == "communities" && column == "ref":
				values[i] = "CAST(CAST(f.ref AS INTEGER) + n.k AS TEXT)"
			default:
				values[i] = "f." + column
			}
		}
		statement := fmt.Sprintf(`
			WITH RECURSIVE n (k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n WHERE k < %d)
			INSERT INTO %s (%s) SELECT %s FROM n CROSS JOIN (SELECT * FROM %s ORDER BY 1) f`,
			times-1, table, strings.Join(columns, ", "), strings.Join(values, ", "), table)
		must(db.Exec(statement))(t)
	}
	must(db.Exec(`PRAGMA journal_mode = WAL`))(t)
	if n := count(t, db, `PRAGMA foreign_key_check`); n > 0 {
		t.Fatalf("%d rows point nowhere", n)
	}
	if n := count(t, db, `SELECT id FROM tests`); n != times*testsEach {
		t.Fatalf("%d tests", n)
	}
}

func texts(db *sql.DB, query string) (found []string, err error) {
	rows, err := db.Query(query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		found = append(found, text)
	}
	return found, rows.Err()
}
