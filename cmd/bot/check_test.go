package main

import (
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"holdbench/internal/knowledge"
)

// checked is what the check says of a store, without a token: the rest is looked at
// all the same.
func checked(t *testing.T, environ ...string) string {
	t.Helper()
	got := bot(t, environ, "", "check")
	if exitCode(got.err) != exitFailed {
		t.Fatalf("without a token all is said to be well: %v", got.err)
	}
	wants(t, got.stdout, "WRONG Token: none is set", "HOLDBENCH_DISCORD_TOKEN")
	return got.stdout
}

func TestCheckLooksAtTheStoreAndChangesNothing(t *testing.T) {
	environ := ownStore(t)
	path := strings.TrimPrefix(environ[0], "HOLDBENCH_STORE_PATH=")
	wants(t, checked(t, environ...), "ok    Settings: read from no file", "ok    Store: there is none at "+path+" yet",
		"ok    Backups: none are made at night")
	if left, err := os.ReadDir(filepath.Dir(path)); err != nil || len(left) > 0 {
		t.Fatalf("left behind: %v, %v", left, err)
	}
	mustRun(t, environ, "", "import", "products", demoFile("products"))
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	wants(t, checked(t, environ...), "ok    Store: whole, at version ", ": 1 community, 0 tests.")
	after, err := os.ReadFile(path)
	if err != nil || string(after) != string(before) {
		t.Errorf("the store was changed: %v", err)
	}
}

func TestCheckSaysWhatIsWrongWithAStoreAndAWayOut(t *testing.T) {
	for scene, c := range map[string]struct {
		make func(t *testing.T, path string)
		says []string
	}{
		"something else": {func(t *testing.T, path string) { write(t, path, "notes") },
			[]string{"not a store of this program", "set store.path to the store"}},
		"no folder": {func(t *testing.T, path string) { os.Remove(filepath.Dir(path)) },
			[]string{"none can be made there", "make the folder"}},
		"damaged": {func(t *testing.T, path string) {
			mustRun(t, []string{"HOLDBENCH_STORE_PATH=" + path}, "", "import", "products", demoFile("products"))
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			for i := 4096; i < len(text); i++ { // all but the first page (sqlite.org/fileformat.html)
				text[i] = 0x5A
			}
			write(t, path, string(text))
		}, []string{"damaged", "bot restore the latest backup"}},
	} {
		t.Run(scene, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "in", "our.db")
			if err := os.Mkdir(filepath.Dir(path), 0o700); err != nil {
				t.Fatal(err)
			}
			c.make(t, path)
			wants(t, checked(t, "HOLDBENCH_STORE_PATH="+path), append(c.says, "WRONG Store: ")...)
		})
	}
}

func TestCheckWarnsOfATokenThatOthersCanRead(t *testing.T) {
	token := filepath.Join(t.TempDir(), "token")
	write(t, token, "not-a-real-token\n")
	if err := os.Chmod(token, 0o644); err != nil {
		t.Fatal(err)
	}
	unknown := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter,
		_ *http.Request) {
		w.WriteHeader(http.StatusUnauthorized)
	}))
	defer unknown.Close()
	environ := []string{"HOLDBENCH_DISCORD_TOKEN_FILE=" + token, "HOLDBENCH_DISCORD_API_BASE=" + unknown.URL}
	got := bot(t, environ, "", "check")
	wants(t, got.stdout, "WRONG Settings: others can read "+token, "chmod 600",
		"WRONG Token: Discord does not know the token")
	if err := os.Chmod(token, 0o600); err != nil {
		t.Fatal(err)
	}
	if got := bot(t, environ, "", "check"); strings.Contains(got.stdout, "others can read") ||
		strings.Contains(got.stdout+got.err.Error(), "not-a-real-token") {
		t.Errorf("%v\n%s", got.err, got.stdout)
	}
}

func TestCheckSaysWhenOthersCanReadTheStoreOrItsBackup(t *testing.T) {
	environ, store, backups := storeAndBackups(t)
	mustRun(t, environ, "", "import", "products", demoFile("products"))
	copied := filepath.Join(backups, "holdbench-000001-2026-06-10.db")
	mustRun(t, environ, "", "backup", copied)
	for _, path := range []string{store, copied} {
		if got := checked(t, environ...); strings.Contains(got, "others can read") {
			t.Errorf("as they are made:\n%s", got)
		}
		for _, mode := range []os.FileMode{0o644, 0o640} {
			if err := os.Chmod(path, mode); err != nil {
				t.Fatal(err)
			}
			wants(t, checked(t, environ...), ": others can read "+path, "chmod 600 "+path)
		}
		if err := os.Chmod(path, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// The store of a machine whose clock was ahead by years.
func TestCheckSaysThatTheClockWasPutBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "our.db")
	ahead := func() time.Time { return time.Now().AddDate(12, 0, 0) }
	store, err := knowledge.Open(t.Context(), path, knowledge.WithClock(ahead))
	if err != nil {
		t.Fatal(err)
	}
	if mine, err := store.ClaimBackup(t.Context(), "2040-01-01"); err != nil || !mine {
		t.Fatal(mine, err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	wants(t, checked(t, "HOLDBENCH_STORE_PATH="+path), "WRONG Clock: the latest backup is noted at ",
		"is still to come")
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}
