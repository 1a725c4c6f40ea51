package knowledge

import (
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

func TestANightsBackupIsClaimedOnce(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "bench.db")
	var all sync.WaitGroup
	var won atomic.Int32
	for range 4 {
		s := openAt(t, path)
		for range 4 {
			all.Go(func() {
				mine, err := s.ClaimBackup(t.Context(), "2026-11-25")
				if err != nil {
					t.Error(err)
				}
				if mine {
					won.Add(1)
				}
			})
		}
	}
	all.Wait()
	if won.Load() != 1 {
		t.Errorf("claimed %d times", won.Load())
	}
}

func TestAClaimOnABackupEndsByItselfOrIsKept(t *testing.T) {
	t.Parallel()
	now := stopped
	s := must(Open(t.Context(), at(t, filepath.Join(t.TempDir(), "bench.db")),
		WithClock(func() time.Time { return now }), WithPatience(time.Hour)))(t)
	defer s.Close()
	claim := func(night string, want bool) {
		t.Helper()
		if mine := must(s.ClaimBackup(t.Context(), night))(t); mine != want {
			t.Errorf("%s at %s: %t", night, now.Format(time.TimeOnly), mine)
		}
	}
	last := func(want time.Time) {
		t.Helper()
		if at := must(s.LastBackup(t.Context()))(t); !at.Equal(want) {
			t.Errorf("the last was made %v, want %v", at, want)
		}
	}
	claim("2026-11-25", true) // whoever it was is killed
	now = now.Add(59 * time.Minute)
	claim("2026-11-25", false)
	now = now.Add(time.Minute)
	claim("2026-11-25", true)
	if err := s.BackupFailed(t.Context(), "2026-11-25"); err != nil {
		t.Fatal(err)
	}
	claim("2026-11-25", false)
	last(time.Time{})
	now = now.Add(time.Hour)
	claim("2026-11-25", true)
	if err := s.BackupMade(t.Context(), "2026-11-25", "holdbench-2026-11-25.db", 1); err != nil {
		t.Fatal(err)
	}
	made := now
	if err := s.BackupFailed(t.Context(), "2026-11-25"); err != nil { // one that was overtaken
		t.Fatal(err)
	}
	last(made)
	now = now.Add(5 * time.Hour)
	claim("2026-11-25", false)
	claim("2026-11-26", true)
	last(made)
}
