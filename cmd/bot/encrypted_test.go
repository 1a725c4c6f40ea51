package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"filippo.io/age"
)

// newKey makes a pair: the setting with the public key, and a file with the private
// one.
func newKey(t *testing.T) (setting, file string) {
	t.Helper()
	identity, err := age.GenerateX25519Identity()
	if err != nil {
		t.Fatal(err)
	}
	file = filepath.Join(t.TempDir(), "backup.key")
	write(t, file, identity.String()+"\n")
	return "HOLDBENCH_BACKUP_RECIPIENT=" + identity.Recipient().String(), file
}

func TestAnEncryptedBackupIsRestoredWithItsKeyAndWithNoOther(t *testing.T) {
	setting, key := newKey(t)
	_, other := newKey(t)
	own, store, backups := storeAndBackups(t)
	environ := append(own, setting)
	for _, kind := range []string{"products", "instruments", "members", "stock", "tests"} {
		mustRun(t, environ, "", "import", kind, demoFile(kind))
	}
	want := mustRun(t, environ, "", "export", "tests")
	copied := filepath.Join(backups, "copy.db.age")
	// the demo's
	wants(t, mustRun(t, environ, "", "backup", copied), "Backed up, checked and encrypted: 1 community, 144 tests")
	text, err := os.ReadFile(copied)
	if err != nil || strings.Contains(string(text), "SQLite") || strings.Contains(string(text), "Orrick") {
		t.Fatalf("it can be read: %v", err)
	}
	wants(t, checked(t, environ...), "Backups: each night to "+backups+", encrypted")
	mustRun(t, environ, strings.Replace(oneTest, "4.2", "4.25", 1))
	after := mustRun(t, environ, "", "export", "tests")
	for says, args := range map[string][]string{
		"is encrypted: name the file": {"restore", copied},
		"encrypted to another key":    {"restore", copied, "--identity", other},
		"no file of private keys":     {"restore", copied, "--identity", demoFile("tests")},
	} {
		got := bot(t, environ, "", args...)
		if exitCode(got.err) != exitFailed {
			t.Fatalf("%v: %v", args, got.err)
		}
		wants(t, got.err.Error(), "nothing was changed", says)
	}
	if mustRun(t, environ, "", "export", "tests") != after {
		t.Error("the store was changed by a restore that failed")
	}
	wants(t, mustRun(t, environ, "", "restore", copied, "--identity", key), "Restored: 1 community, 144 tests")
	if got := mustRun(t, environ, "", "export", "tests"); got != want {
		t.Error("another log was restored")
	}
	for _, folder := range []string{filepath.Dir(store), backups} {
		if left, err := filepath.Glob(filepath.Join(folder, ".*")); err != nil || len(left) > 0 {
			t.Errorf("left behind: %v, %v", left, err)
		}
	}
}
