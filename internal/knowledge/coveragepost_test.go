package knowledge

import (
	"errors"
	"path/filepath"
	"testing"
	"time"
)

func TestOneOfManyBringsTheCoveragePostUpToDate(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 24, 9, 0, 0, 0, time.UTC)
	s := must(Open(t.Context(), at(t, filepath.Join(t.TempDir(), "bench.db")),
		WithClock(func() time.Time { return now }), WithPatience(time.Hour)))(t)
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	g, ctx := small(t, s, "local"), t.Context()
	if _, err := g.CoveragePost(ctx); !errors.Is(err, ErrNotFound) {
		t.Errorf("before it is kept: %v", err)
	}
	if _, mine, err := g.ClaimCoveragePost(ctx, "a"); mine || err != nil {
		t.Errorf("claimed where none is kept: %v", err)
	}
	keep := func(channel string) {
		t.Helper()
		if err := g.KeepCoveragePost(ctx, channel); err != nil {
			t.Fatal(err)
		}
	}
	claim := func(shown string, want bool) CoveragePost {
		t.Helper()
		p, mine, err := g.ClaimCoveragePost(ctx, shown)
		if mine != want || err != nil {
			t.Fatalf("claimed %t, want %t: %+v, %v", mine, want, p, err)
		}
		return p
	}
	keep("1")
	first := claim("a", true)
	claim("a", false)
	now = now.Add(noticeLease)
	again := claim("a", true) // whoever had claimed it is gone
	if !again.Again || first.Again || !again.Begun.Equal(first.Begun) {
		t.Errorf("first %+v, again %+v", first, again)
	}
	if err := g.CompleteCoveragePost(ctx, again, "77", "a"); err != nil {
		t.Fatal(err)
	}
	keep("1")
	claim("a", false)
	if p := claim("b", true); p.Post != "77" || p.Again || !p.Begun.IsZero() {
		t.Errorf("to be edited: %+v", p)
	}
	keep("2")
	if err := g.CompleteCoveragePost(ctx, again, "78", "b"); err != nil { // by somebody who is late
		t.Fatal(err)
	}
	if p := claim("b", true); p.Post != "" || p.Channel != "2" {
		t.Errorf("in another channel: %+v", p)
	}
	keep("")
	if _, err := g.CoveragePost(ctx); !errors.Is(err, ErrNotFound) {
		t.Errorf("when it is kept no more: %v", err)
	}
}
