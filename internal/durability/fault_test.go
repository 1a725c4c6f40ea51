package durability

import (
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// refusedFor fails unless a Card says why nothing was logged and gives a reference under which
// the log has the cause.
func refusedFor(t *testing.T, r *room, card commands.Card, title, cause string) {
	t.Helper()
	if !card.Failed || !strings.Contains(card.Title, title) {
		t.Fatalf("want a card that says %q, got\n%s", title, card.Text())
	}
	if strings.Contains(card.Verdict, "Logged") {
		t.Errorf("confirmed all the same:\n%s", card.Text())
	}
	reference := regexp.MustCompile(`Reference ([0-9a-f]{8})`).FindStringSubmatch(card.Text())
	if reference == nil {
		t.Fatalf("no reference in\n%s", card.Text())
	}
	if log := r.log.String(); !strings.Contains(log, reference[1]) || !strings.Contains(log, cause) {
		t.Errorf("the log does not say %q under %s:\n%s", cause, reference[1], log)
	}
}

func confirmedLog(t *testing.T, r *room, key string) {
	t.Helper()
	if card := r.ask(t.Context(), logRequest(gel(0), needles[0], "3", key)); !strings.HasPrefix(card.Verdict,
		"Logged as test ") {
		t.Fatalf("not confirmed:\n%s\n%s", card.Text(), r.log)
	}
}

func answered(t *testing.T, r *room) {
	t.Helper()
	if card := r.ask(t.Context(), question(gel(0), needles[0])); card.Failed || card.Refused || card.Untested {
		t.Errorf("a question is not answered:\n%s\n%s", card.Text(), r.log)
	}
}

// entered is a room with one test in it, and its file.
func entered(t *testing.T) (*room, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bench.db")
	r := must(enter(t.Context(), path))(t)
	t.Cleanup(func() { r.store.Close() })
	confirmedLog(t, r, "first")
	return r, path
}

func soundAfterwards(t *testing.T, path string, tests int) {
	t.Helper()
	db := raw(t, path)
	defer db.Close()
	wholesome(t, db)
	if n := count(t, db, `SELECT id FROM tests`); n != tests {
		t.Errorf("%d tests are there, want %d", n, tests)
	}
}

// TestHeldByAnotherProcess: a test is refused after a wait of five seconds, questions are
// answered meanwhile, and afterwards nothing has to be restarted.
func TestHeldByAnotherProcess(t *testing.T) {
	t.Parallel()
	r, path := entered(t)
	holder := startChild(t, "hold", path, "")
	if !holder.lines.Scan() || holder.lines.Text() != "held" {
		t.Fatalf("not held: %s", holder.stderr)
	}
	var both sync.WaitGroup
	both.Go(func() {
		// A store that is up to date is only read when it is opened.
		s, err := knowledge.Open(t.Context(), path)
		if err != nil {
			t.Errorf("another program cannot even read it: %v", err)
			return
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	answered(t, r)
	refusedFor(t, r, r.ask(t.Context(), logRequest(gel(0), needles[0], "3", "second")), "holding the log",
		"locked")
	both.Wait()
	holder.in.Close()
	confirmedLog(t, r, "second")
	soundAfterwards(t, path, 2)
}

// TestTakenOverByANewerVersion: a program that still runs when a newer one is started writes
// nothing by its older rules.
func TestTakenOverByANewerVersion(t *testing.T) {
	t.Parallel()
	r, path := entered(t)
	db := raw(t, path)
	defer db.Close()
	var version int
	if err := db.QueryRow(`PRAGMA user_version`).Scan(&version); err != nil {
		t.Fatal(err)
	}
	must(db.Exec(`PRAGMA user_version = 999`))(t)
	refusedFor(t, r, r.ask(t.Context(), logRequest(gel(0), needles[0], "3", "second")), "newer version", "999")
	must(db.Exec(fmt.Sprintf(`PRAGMA user_version = %d`, version)))(t)
	confirmedLog(t, r, "second")
	soundAfterwards(t, path, 2)
}

// closedWith is the file of a room that is closed, with so many tests.
func closedWith(t *testing.T, tests int) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bench.db")
	r := must(enter(t.Context(), path))(t)
	for n := range tests {
		confirmedLog(t, r, fmt.Sprint("key ", n))
	}
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

const pageSize = 4096 // SQLite's usual

// TestDamagedFileIsSaidToBe damages a file in ways that can be noticed: its end is lost, pages
// are noise. Noise within the values of a page cannot be noticed: SQLite keeps no checksums.
// Afterwards the file is replaced by its copy, as an operator would do.
func TestDamagedFileIsSaidToBe(t *testing.T) {
	t.Parallel()
	spoil := map[string]func(sound []byte) []byte{
		"the latter half is lost": func(b []byte) []byte { return b[:len(b)/2/pageSize*pageSize] },
		"cut within a page":       func(b []byte) []byte { return b[:len(b)/3] },
		"all but the first page is noise": func(b []byte) []byte {
			rand.Read(b[pageSize:])
			return b
		},
		"the first page is noise behind its heading": func(b []byte) []byte {
			rand.Read(b[100:pageSize])
			return b
		},
	}
	for scene, change := range spoil {
		t.Run(scene, func(t *testing.T) {
			t.Parallel()
			path := closedWith(t, 3)
			sound := must(os.ReadFile(path))(t)
			spoilt := change(append([]byte(nil), sound...))
			if err := os.WriteFile(path, spoilt, 0o600); err != nil {
				t.Fatal(err)
			}
			r, err := enter(t.Context(), path)
			if err != nil {
				if !errors.Is(err, knowledge.ErrDamaged) && !errors.Is(err, knowledge.ErrNotAStore) {
					t.Errorf("refused, but for another reason: %v", err)
				}
			} else {
				card := r.ask(t.Context(), logRequest(gel(0), needles[0], "3", "more"))
				refusedFor(t, r, card, "damaged", "malformed")
				r.store.Close()
			}
			for _, side := range []string{"", "-wal", "-shm"} {
				os.Remove(path + side)
			}
			if err := os.WriteFile(path, sound, 0o600); err != nil {
				t.Fatal(err)
			}
			again := must(enter(t.Context(), path))(t)
			defer again.store.Close()
			confirmedLog(t, again, "more")
			soundAfterwards(t, path, 4)
		})
	}
}

// TestNoiseBesideTheFileIsPassedOver: noise in the place of SQLite's log of changes changes
// nothing.
func TestNoiseBesideTheFileIsPassedOver(t *testing.T) {
	t.Parallel()
	path := closedWith(t, 3)
	noise := make([]byte, 10*pageSize)
	rand.Read(noise)
	for _, side := range []string{"-wal", "-shm"} {
		if err := os.WriteFile(path+side, noise, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	r := must(enter(t.Context(), path))(t)
	defer r.store.Close()
	answered(t, r)
	confirmedLog(t, r, "more")
	soundAfterwards(t, path, 4)
}

// TestStoredIsConfirmedWithoutTheRest: once a test is stored, the answer confirms it, whatever
// goes wrong afterwards.
func TestStoredIsConfirmedWithoutTheRest(t *testing.T) {
	t.Parallel()
	r, path := entered(t)
	db := raw(t, path)
	defer db.Close()
	must(db.Exec(`ALTER TABLE stock RENAME TO elsewhere`))(t) // read for what is known of a combination, not for logging
	card := r.ask(t.Context(), logRequest(gel(0), needles[0], "3", "second"))
	if card.Failed || !strings.HasPrefix(card.Verdict, "Logged as test 2: ") ||
		!strings.Contains(card.Text(), "could not be worked out") {
		t.Errorf("got\n%s", card.Text())
	}
	if !strings.Contains(r.log.String(), "no such table") {
		t.Errorf("the log has no cause:\n%s", r.log)
	}
	must(db.Exec(`ALTER TABLE elsewhere RENAME TO stock`))(t)
	soundAfterwards(t, path, 2)
}
