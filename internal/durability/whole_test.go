package durability

import (
	"database/sql"
	"testing"
)

// halves are queries that find something half-written. Each must find nothing.
var halves = map[string]string{
	"a count of a gel's tests that is out of step": `
		SELECT p.id FROM products p
		WHERE p.kept_tests <> (SELECT COUNT(*) FROM tests t WHERE t.product_id = p.id AND t.state = 'kept')`,
	"a count of a combination's tests that is out of step": `
		SELECT c.product_id FROM tested_combinations c
		WHERE c.kept_tests <> (SELECT COUNT(*) FROM tests t WHERE t.state = 'kept' AND t.product_id = c.product_id
		                       AND t.instrument_id = c.instrument_id AND t.syringe_id = c.syringe_id)`,
	"tests of a combination that is not counted": `
		SELECT t.id FROM tests t
		WHERE NOT EXISTS (SELECT 1 FROM tested_combinations c WHERE c.product_id = t.product_id
		                  AND c.instrument_id = t.instrument_id AND c.syringe_id = t.syringe_id)`,
	"a withdrawn test without its trace": `
		SELECT t.id FROM tests t
		WHERE t.state = 'withdrawn' AND NOT EXISTS (SELECT 1 FROM test_changes c WHERE c.test_id = t.id AND c.action = 'withdrawn')`,
	"the trace of a withdrawal that was not made": `
		SELECT t.id FROM tests t
		JOIN test_changes c ON c.test_id = t.id
		WHERE t.state = 'kept' AND c.action = 'withdrawn'`,
	"a gel whose log moved on without its version": `
		SELECT p.id FROM products p
		WHERE p.log_version < (SELECT COUNT(*) FROM tests t WHERE t.product_id = p.id)
		                    + (SELECT COUNT(*) FROM test_changes c JOIN tests t ON t.id = c.test_id WHERE t.product_id = p.id)`,
	"a slip of a test that the estimate does not stand on": `
		SELECT s.test_id FROM slips s
		JOIN estimates e ON e.product_id = s.product_id
		JOIN products p ON p.id = e.product_id AND p.log_version = e.log_version
		WHERE NOT EXISTS (SELECT 1 FROM tests t WHERE t.id = s.test_id AND t.product_id = p.id AND t.state = 'kept')`,
	"an estimate without what it says of a combination": `
		SELECT e.product_id FROM estimates e
		JOIN products p ON p.id = e.product_id AND p.log_version = e.log_version
		WHERE (SELECT COUNT(*) FROM tested_combinations c WHERE c.product_id = p.id AND c.kept_tests > 0)
		   <> (SELECT COUNT(*) FROM verdicts v WHERE v.product_id = p.id)`,
	"a key that is there twice": `
		SELECT MIN(id) FROM tests GROUP BY request_key HAVING COUNT(*) > 1`,
}

// wholesome fails unless the file is intact and nothing in it is half-written.
func wholesome(t testing.TB, db *sql.DB) {
	t.Helper()
	var verdict string
	if err := db.QueryRow(`PRAGMA integrity_check`).Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("integrity check: %s, %v", verdict, err)
	}
	if n := count(t, db, `PRAGMA foreign_key_check`); n > 0 {
		t.Errorf("%d rows point nowhere", n)
	}
	for what, query := range halves {
		if n := count(t, db, query); n > 0 {
			t.Errorf("%s: %d", what, n)
		}
	}
}

// count is how many rows a query finds.
func count(t testing.TB, db *sql.DB, query string) (n int) {
	t.Helper()
	rows := must(db.Query(query))(t)
	defer rows.Close()
	for rows.Next() {
		n++
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return n
}

// TestHalvesAreFound damages a store in each of the ways that halves looks for.
func TestHalvesAreFound(t *testing.T) {
	t.Parallel()
	spoil := map[string]string{
		"a count of a gel's tests that is out of step":         `UPDATE products SET kept_tests = kept_tests + 1`,
		"a count of a combination's tests that is out of step": `UPDATE tested_combinations SET kept_tests = kept_tests + 1`,
		"tests of a combination that is not counted":           `DELETE FROM tested_combinations`,
		"a withdrawn test without its trace":                   `DELETE FROM test_changes`,
		"the trace of a withdrawal that was not made":          `UPDATE tests SET state = 'kept'`,
		"a gel whose log moved on without its version":         `UPDATE products SET log_version = 0`,
		"a slip of a test that the estimate does not stand on": `
			INSERT OR REPLACE INTO slips (test_id, community_id, product_id, slip)
			SELECT t.id, t.community_id, t.product_id, 1 FROM tests t WHERE t.state = 'withdrawn'`,
		"an estimate without what it says of a combination": `DELETE FROM verdicts`,
		"a key that is there twice":                         `UPDATE tests SET request_key = NULL`,
	}
	for what, query := range halves {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			path := t.TempDir() + "/bench.db"
			r := must(enter(t.Context(), path))(t)
			for n := range withdrawals {
				if err := logOne(t.Context(), r, "key "+gel(n), n); err != nil {
					t.Fatal(err)
				}
			}
			if err := r.store.Close(); err != nil {
				t.Fatal(err)
			}
			db := raw(t, path)
			defer db.Close()
			wholesome(t, db)
			if _, err := db.Exec(spoil[what]); err != nil {
				t.Fatal(err)
			}
			if count(t, db, query) == 0 {
				t.Error("not found")
			}
		})
	}
}
