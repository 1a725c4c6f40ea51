// Package storetest reads stores past the program, for tests that must not take its
// word: what belongs to a community, row by row.
package storetest

import (
	"database/sql"
	"path/filepath"
	"strings"
	"testing"

	_ "github.com/mattn/go-sqlite3" // the files are SQLite's
)

// storesOwn are tables that have nothing of any community.
const storesOwn = " backups "

// RowsOf is every row that belongs to a community in a store's file, one a line, in
// an order that depends on nothing but the rows. A table that cannot be told apart
// by community fails the test.
func RowsOf(tb testing.TB, path, ref string) string {
	tb.Helper()
	db, err := sql.Open("sqlite3", "file:"+filepath.ToSlash(path)+"?mode=ro&_busy_timeout=5000")
	if err != nil {
		tb.Fatal(err)
	}
	defer db.Close()
	var text strings.Builder
	for _, table := range column(tb, db, `
		SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name`) {
		if strings.Contains(storesOwn, " "+table+" ") {
			continue
		}
		condition := `community_id = (SELECT id FROM communities WHERE ref = ?)`
		if table == "communities" {
			condition = `ref = ?`
		}
		cells := strings.Join(column(tb, db,
			`SELECT 'quote(' || name || ')' FROM pragma_table_info('`+table+`') ORDER BY cid`), ` || ' ' || `)
		for _, row := range column(tb, db, `SELECT `+cells+` FROM `+table+` WHERE `+condition+` ORDER BY 1`, ref) {
			text.WriteString(table + " " + row + "\n")
		}
	}
	return text.String()
}

// Changed are the lines that only one of two texts of rows has.
func Changed(before, after string) string {
	was, is := strings.SplitAfter(before, "\n"), strings.SplitAfter(after, "\n")
	return only(was, is, "- ") + only(is, was, "+ ")
}

func only(these, not []string, sign string) string {
	known := map[string]bool{}
	for _, line := range not {
		known[line] = true
	}
	var text strings.Builder
	for _, line := range these {
		if !known[line] {
			text.WriteString(sign + line)
		}
	}
	return text.String()
}

func column(tb testing.TB, db *sql.DB, query string, args ...any) (found []string) {
	tb.Helper()
	rows, err := db.QueryContext(tb.Context(), query, args...)
	if err != nil {
		tb.Fatalf("%s: %v", query, err)
	}
	defer rows.Close()
	for rows.Next() {
		var one string
		if err := rows.Scan(&one); err != nil {
			tb.Fatalf("%s: %v", query, err)
		}
		found = append(found, one)
	}
	if err := rows.Err(); err != nil {
		tb.Fatal(err)
	}
	return found
}
