package knowledge

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"holdbench/internal/database/databasetest"
)

func TestProgramsKeepADistance(t *testing.T) {
	databasetest.Only(t)
	const apart = 400 * time.Millisecond
	address := at(t, filepath.Join(t.TempDir(), "bench.db"))
	one, other := openAddress(t, address), openAddress(t, address)
	elsewhere := openStore(t)
	began := time.Now()
	if err := one.Spaced(t.Context(), "knock", apart); err != nil {
		t.Fatal(err)
	}
	// Neither another thing nor another log is waited for.
	soon, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	if err := other.Spaced(soon, "ring", time.Hour); err != nil {
		t.Fatal(err)
	}
	if err := elsewhere.Spaced(soon, "knock", time.Hour); err != nil {
		t.Fatal(err)
	}
	if err := other.Spaced(t.Context(), "knock", apart); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(began); took < apart {
		t.Errorf("the second came after %s", took)
	}
	// Whoever is ending does not wait.
	ctx, end := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer end()
	if err := one.Spaced(ctx, "ring", apart); err == nil {
		t.Error("did not wait for what may take an hour")
	}
}

func TestOneProgramOnAFileWaitsForNobody(t *testing.T) {
	s := openFile(t)
	for range 3 {
		if err := s.Spaced(t.Context(), "knock", time.Hour); err != nil {
			t.Fatal(err)
		}
	}
}
