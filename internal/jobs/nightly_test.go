package jobs

import (
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"filippo.io/age"

	"holdbench/internal/knowledge"
	"holdbench/internal/sealed"
)

// nightly is a runner of its own on the bench's file that backs up into a folder.
func (b *bench) nightly(t *testing.T, folder string, keep int) *Runner {
	t.Helper()
	r := b.runner(b.open(t))
	r.Nightly = &Nightly{Folder: folder, Keep: keep, Hour: 3, Zone: must(time.LoadLocation("Europe/London"))(t)}
	return r
}

func backups(t *testing.T, folder string) (names []string) {
	t.Helper()
	for _, entry := range must(os.ReadDir(folder))(t) {
		names = append(names, entry.Name())
	}
	return names
}

// Europe/London is an hour ahead of UTC in June.
var june = time.Date(2026, 6, 10, 1, 55, 0, 0, time.UTC)

func TestABackupIsMadeOnceANightAndTheOldestGo(t *testing.T) {
	t.Parallel()
	b, folder := newBench(t, june), t.TempDir()
	b.small(t, "local", "UTC", time.Monday, 9)
	if err := os.WriteFile(filepath.Join(folder, "holdbench-notes.db"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	old := filepath.Join(folder, ".holdbench-2026-06-01.db.1.part")
	if err := os.WriteFile(old, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	programs := []*Runner{b.nightly(t, folder, 2), b.nightly(t, folder, 2)}
	tick := func(now time.Time) {
		b.clock.set(now)
		var both sync.WaitGroup
		for _, r := range programs {
			both.Go(func() { r.Tick(t.Context()) })
		}
		both.Wait()
	}
	tick(june)
	if got := backups(t, folder); len(got) != 2 {
		t.Errorf("before its hour: %v", got)
	}
	for night := range 4 {
		tick(june.AddDate(0, 0, night).Add(5 * time.Minute)) // 03:00 there
		name := filepath.Join(folder, fmt.Sprintf(backupForm, night+1, june.AddDate(0, 0, night).Format(dayForm)))
		first := must(os.Stat(name))(t)
		tick(june.AddDate(0, 0, night).Add(10 * time.Hour))
		again := must(os.Stat(name))(t)
		if !os.SameFile(first, again) {
			t.Errorf("night %d: made twice", night)
		}
	}
	want := []string{"holdbench-000003-2026-06-12.db", "holdbench-000004-2026-06-13.db", "holdbench-notes.db"}
	if got := backups(t, folder); !slices.Equal(got, append([]string{filepath.Base(old)}, want...)) {
		t.Errorf("in the folder: %v", got)
	}
	if at := must(b.store.LastBackup(t.Context()))(t); !at.Equal(june.AddDate(0, 0, 3).Add(5 * time.Minute)) {
		t.Errorf("the last was made %v", at)
	}
	made := must(knowledge.Inspect(t.Context(), filepath.Join(folder, want[0])))(t)
	if made.Communities != 1 {
		t.Errorf("in it: %+v", made)
	}
	b.log.quiet(t)
}

func TestUnfinishedCopiesGoOnceTheyAreOld(t *testing.T) {
	t.Parallel()
	b, folder := newBench(t, june), t.TempDir()
	for name, age := range map[string]time.Duration{".holdbench-a.part": 23 * time.Hour,
		".holdbench-b.part": 25 * time.Hour, ".other.part": 99 * time.Hour} {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, june.Add(-age), june.Add(-age)); err != nil {
			t.Fatal(err)
		}
	}
	b.clock.set(june.Add(5 * time.Minute))
	b.nightly(t, folder, 2).Tick(t.Context())
	if got := backups(t, folder); !slices.Equal(got,
		[]string{".holdbench-a.part", ".other.part", "holdbench-000001-2026-06-10.db"}) {
		t.Errorf("in the folder: %v", got)
	}
}

func TestAFailedBackupIsToldAndTriedAgain(t *testing.T) {
	t.Parallel()
	b, folder := newBench(t, june), filepath.Join(t.TempDir(), "not there yet")
	r := b.nightly(t, folder, 2)
	due := june.Add(5 * time.Minute)
	b.clock.set(due)
	r.Tick(t.Context())
	if log := b.log.String(); !strings.Contains(log, "no backup was made tonight") ||
		!strings.Contains(log, "no such file") || !strings.Contains(log, folder) {
		t.Errorf("logged %s", log)
	}
	if at := must(b.store.LastBackup(t.Context()))(t); !at.IsZero() {
		t.Errorf("the last was made %v", at)
	}
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	b.clock.set(due.Add(30 * time.Minute))
	r.Tick(t.Context())
	if got := backups(t, folder); len(got) != 0 {
		t.Errorf("tried again too soon: %v", got)
	}
	b.clock.set(due.Add(time.Hour))
	r.Tick(t.Context())
	if got := backups(t, folder); len(got) != 1 {
		t.Errorf("an hour later: %v", got)
	}
}

// The clock runs ahead by years, by a day, and is put back: the newest backups stay,
// each night has its own, and the age is that of one that was made.
func TestAClockThatJumpsLosesNoBackup(t *testing.T) {
	t.Parallel()
	b, folder := newBench(t, june), t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "holdbench-2039-05-05.db"), nil, 0o600); err != nil {
		t.Fatal(err) // an older program made it by a wrong clock
	}
	r := b.nightly(t, folder, 3)
	r.Log = slog.New(slog.NewTextHandler(b.log, &slog.HandlerOptions{Level: slog.LevelWarn}))
	for _, days := range []int{0, 5000, 2, 3, 1, 2, 3} {
		b.clock.set(june.AddDate(0, 0, days).Add(10 * time.Hour))
		r.Tick(t.Context())
		if at := must(b.store.LastBackup(t.Context()))(t); !at.Equal(b.clock.read()) {
			t.Errorf("on day %d the last was made %v", days, at)
		}
		b.clock.set(b.clock.read().Add(time.Hour))
		r.Tick(t.Context())
	}
	want := []string{"holdbench-000005-2026-06-11.db", "holdbench-000006-2026-06-12.db",
		"holdbench-000007-2026-06-13.db"}
	if got := backups(t, folder); !slices.Equal(got, want) {
		t.Errorf("in the folder: %v", got)
	}
	if said := b.log.String(); strings.Count(said, "the latest backup is noted at 2040-02-17") != 1 ||
		strings.Count(said, "\n") != 2 {
		t.Errorf("logged %s", said) // 2040-02-17 is 5000 days on; and when it went back from day 3 to day 1
	}
}

func TestANightlyBackupIsEncryptedWhereThereIsAKey(t *testing.T) {
	t.Parallel()
	b, folder := newBench(t, june), t.TempDir()
	b.small(t, "local", "UTC", time.Monday, 9)
	identity := must(age.GenerateX25519Identity())(t)
	key, plain := filepath.Join(t.TempDir(), "key"), filepath.Join(t.TempDir(), "plain.db")
	killed := filepath.Join(filepath.Dir(b.path), ".holdbench-000001-2026-06-01.db.age.1.part")
	if err := errors.Join(os.WriteFile(key, []byte(identity.String()), 0o600), os.WriteFile(killed, nil, 0o600),
		os.Chtimes(killed, june.AddDate(0, 0, -2), june.AddDate(0, 0, -2))); err != nil {
		t.Fatal(err)
	}
	r := b.nightly(t, folder, 2)
	r.Nightly.Keys = must(sealed.ReadKeys(identity.Recipient().String()))(t)
	for day := range 3 {
		b.clock.set(june.AddDate(0, 0, day).Add(5 * time.Minute))
		r.Tick(t.Context())
	}
	b.log.quiet(t)
	want := []string{"holdbench-000002-2026-06-11.db.age", "holdbench-000003-2026-06-12.db.age"}
	if got := backups(t, folder); !slices.Equal(got, want) {
		t.Fatalf("in the folder: %v", got)
	}
	if _, err := knowledge.Inspect(t.Context(), filepath.Join(folder, want[1])); err == nil {
		t.Error("it can be read as it is")
	}
	file := must(os.Create(plain))(t)
	if err := errors.Join(sealed.Open(file, filepath.Join(folder, want[1]), key), file.Close()); err != nil {
		t.Fatal(err)
	}
	if made := must(knowledge.Inspect(t.Context(), plain))(t); made.Communities != 1 {
		t.Errorf("in it: %+v", made)
	}
	if left := must(filepath.Glob(filepath.Join(filepath.Dir(b.path), ".holdbench-*")))(t); len(left) > 0 {
		t.Errorf("copies that can be read are left beside the store: %v", left)
	}
}
