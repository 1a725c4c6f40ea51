package database

import (
	"database/sql"
	"testing"

	"holdbench/internal/database/databasetest"
)

func TestEveryConnectionHasThePragmas(t *testing.T) {
	s := openFile(t)
	want := map[string]string{"foreign_keys": "1", "journal_mode": "wal", "synchronous": "2", "busy_timeout": "5000"}
	check := func(db *sql.DB, connections int) {
		for range connections { // held open, so that each is another one
			c := must(db.Conn(t.Context()))(t)
			t.Cleanup(func() { c.Close() })
			for pragma, value := range want {
				var got string
				if err := c.QueryRowContext(t.Context(), `PRAGMA `+pragma).Scan(&got); err != nil || got != value {
					t.Errorf("%s = %q, %v; want %q", pragma, got, err, value)
				}
			}
		}
	}
	check(s.read, 4)
	check(s.write, 1)
}

func TestEverySessionHasItsSettings(t *testing.T) {
	databasetest.Only(t)
	s := openStore(t)
	for pool, readOnly := range map[*sql.DB]string{s.read: "on", s.write: "off"} {
		for range 3 { // held open, so that each is another one
			c := must(pool.Conn(t.Context()))(t)
			t.Cleanup(func() { c.Close() })
			for name, want := range map[string]string{
				"synchronous_commit": "on", "lock_timeout": "5s", "application_name": "holdbench",
				"default_transaction_read_only":       readOnly,
				"idle_in_transaction_session_timeout": "1min", "default_transaction_isolation": "read committed",
			} {
				var got string
				if err := c.QueryRowContext(t.Context(), `SELECT current_setting($1)`, name).Scan(&got); err != nil || got != want {
					t.Errorf("%s = %q, %v; want %q", name, got, err, want)
				}
			}
		}
	}
}
