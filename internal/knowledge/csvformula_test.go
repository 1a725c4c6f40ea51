package knowledge

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"reflect"
	"strings"
	"testing"
)

// formulas are how a cell begins that a spreadsheet may take for a formula
// (owasp.org, CSV Injection), and their full-width forms.
var formulas = []string{"=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"}

// TestNoCellOfAnyFileIsAFormula puts what begins like a formula wherever somebody
// can write, past the store's own rules too, and reads every file there is: each kind of file
// and each method of a Group by the name of Export….
func TestNoCellOfAnyFileIsAFormula(t *testing.T) {
	s := openStore(t)
	g := small(t, s, "local")
	gone, _ := leavesTraces(t, g)
	q := unchecked(s)
	cells, files := 0, 0
	for i, mark := range formulas {
		for _, column := range []string{"members.name", "product_names.name", "syringes.name", "tests.note",
			"tests.liquid", "tests.timing",
			"tests.seconds_typed", "tests.film_marks", "tests.film_link", "test_changes.reason", "list_changes.reason",
			"list_changes.before"} {
			table, name, _ := strings.Cut(column, ".")
			must(q.Exec(t.Context(), `UPDATE `+table+` SET `+name+` = ? || `+name+` WHERE community_id = ? AND `+name+` <> ''`, mark+"HYPERLINK"+fmt.Sprint(i), g.id))(t)
		}
		must(q.Exec(t.Context(), `UPDATE communities SET vocabulary_version = vocabulary_version + 1 WHERE id = ?`, g.id))(t)
		methods := reflect.ValueOf(g)
		for m := range methods.NumMethod() {
			name := methods.Type().Method(m).Name
			if !strings.HasPrefix(name, "Export") {
				continue
			}
			var of []any // what is asked for beside the place to write to
			if name == "Export" {
				for _, kind := range append(ImportKinds(), HistoryFile) {
					of = append(of, kind)
				}
			} else {
				of = append(of, Member{ID: gone.ID})
			}
			for _, one := range of {
				var out bytes.Buffer
				args := []reflect.Value{reflect.ValueOf(t.Context()), reflect.ValueOf(one), reflect.ValueOf(io.Writer(&out))}
				if name != "Export" {
					args[1], args[2] = args[2], args[1]
				}
				if err, failed := methods.Method(m).Call(args)[0].Interface().(error); failed {
					t.Fatalf("%s: %v", name, err)
				}
				if i == 0 {
					files++
				}
				cells += noFormulas(t, fmt.Sprint(name, " ", one), &out)
			}
		}
	}
	if files < 8 || cells < 1000 {
		t.Errorf("%d files, %d cells", files, cells)
	}
}

// noFormulas reads a file, fails the test for a cell that is one, and counts the cells.
func noFormulas(t *testing.T, name string, file io.Reader) (cells int) {
	t.Helper()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for _, row := range rows {
		for _, cell := range row {
			cells++
			for _, mark := range formulas {
				if strings.HasPrefix(cell, mark) {
					t.Errorf("%s: the cell %q", name, cell)
				}
			}
		}
	}
	return cells
}
