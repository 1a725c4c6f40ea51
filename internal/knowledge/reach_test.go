package knowledge

import (
	"testing"
	"time"
)

func TestAStoreThatIsOpenIsReachedAndOneThatIsClosedIsNot(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	if err := s.Reach(t.Context()); err != nil {
		t.Error(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s.Reach(t.Context()) == nil {
		t.Error("a closed store was reached")
	}
}

func TestTheLastPromptIsTheLatestThatWentOutAnywhere(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	one, two, ctx := small(t, s, "one"), small(t, s, "two"), t.Context()
	wants := func(what string, want bool) {
		t.Helper()
		at, err := s.LastPrompt(ctx)
		if err != nil || at.Equal(clock.read()) != want {
			t.Errorf("%s: %v, %v", what, at, err)
		}
	}
	if at, err := s.LastPrompt(ctx); err != nil || !at.IsZero() {
		t.Errorf("before any: %v, %v", at, err)
	}
	n, _, err := one.ClaimPrompt(ctx, "2026-W48")
	wants("claimed only", false)
	if err != nil || one.CompleteNotice(ctx, n, "post 1") != nil {
		t.Fatal(err)
	}
	wants("posted", true)
	clock.set(stopped.Add(time.Hour))
	n, _, err = two.ClaimPrompt(ctx, "2026-W48")
	if err != nil || two.CompleteNotice(ctx, n, "") != nil {
		t.Fatal(err)
	}
	wants("nothing to say", false)
	r, _, err := two.ClaimNotice(ctx, VerdictNews, "n")
	if err != nil || two.CompleteNotice(ctx, r, "post 2") != nil {
		t.Fatal(err)
	}
	wants("another notice", false)
}
