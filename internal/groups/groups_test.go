package groups

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

func stopped() time.Time { return time.Date(2026, 11, 24, 9, 30, 0, 0, time.UTC) }

// serverCommunities is a store with nothing in it, and a clock to put forward.
func serverCommunities(t *testing.T) (*All, *time.Time) {
	t.Helper()
	now := stopped()
	clock := func() time.Time { return now }
	store, err := knowledge.Open(t.Context(), filepath.Join(t.TempDir(), "bot.db"), knowledge.WithClock(clock),
		knowledge.WithPatience(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	return &All{
		Store: store, Now: clock, Log: slog.New(slog.DiscardHandler),
		Found: func(ctx context.Context, ref, name string) (*knowledge.Group, error) {
			return store.Found(ctx, knowledge.NewCommunity{Ref: ref, Name: name})
		},
	}, &now
}

func TestACommunityIsFoundedOnFirstSightAndOnce(t *testing.T) {
	c, _ := serverCommunities(t)
	var wait sync.WaitGroup
	firsts := make(chan bool, 8)
	for range 8 {
		wait.Go(func() {
			_, first, err := c.Env(t.Context(), "7", "North Room")
			if err != nil {
				t.Error(err)
			}
			firsts <- first
		})
	}
	wait.Wait()
	close(firsts)
	founded := 0
	for first := range firsts {
		if first {
			founded++
		}
	}
	if founded != 1 {
		t.Errorf("founded %d times", founded)
	}
	env, _, err := c.Env(t.Context(), "7", "another name")
	if err != nil {
		t.Fatal(err)
	}
	w, err := commands.NewWelcome(t.Context(), env)
	if err != nil || w == nil {
		t.Fatal(w, err)
	}
	text := w.Private.Text()
	for _, part := range []string{"Holdbench is in North Room", "/holdbench start in the server", "kept for 30 days"} {
		if !strings.Contains(text, part) {
			t.Errorf("%q is not in\n%s", part, text)
		}
	}
	if again, err := commands.NewWelcome(t.Context(), env); again != nil || err != nil {
		t.Errorf("welcomed twice: %+v, %v", again, err)
	}
}

func TestALeftCommunityIsErasedWhenItsTimeIsOver(t *testing.T) {
	c, now := serverCommunities(t)
	for _, ref := range []string{"stays", "back", "gone"} {
		if _, _, err := c.Env(t.Context(), ref, ref); err != nil {
			t.Fatal(err)
		}
	}
	for _, ref := range []string{"back", "gone", "never seen"} {
		if err := c.Leave(t.Context(), ref); err != nil {
			t.Fatal(err)
		}
	}
	*now = now.AddDate(0, 0, 29)
	if n, err := c.Erase(t.Context()); n != 0 || err != nil {
		t.Errorf("a day early: %d, %v", n, err)
	}
	if _, first, err := c.Env(t.Context(), "back", "back"); first || err != nil {
		t.Errorf("came back to a new community: %t, %v", first, err)
	}
	*now = now.AddDate(0, 0, 2)
	for range 5 { // it has to be due at six looks in a row: knowledge.EraseDue
		if n, err := c.Erase(t.Context()); n != 0 || err != nil {
			t.Errorf("erased at once: %d, %v", n, err)
		}
	}
	if n, err := c.Erase(t.Context()); n != 1 || err != nil {
		t.Errorf("%d, %v", n, err)
	}
	if _, err := c.Store.Group(t.Context(), "gone"); !errors.Is(err, knowledge.ErrNotFound) {
		t.Errorf("still there: %v", err)
	}
	if refs, err := c.Refs(t.Context()); err != nil || len(refs) != 2 {
		t.Errorf("%v, %v", refs, err)
	}
	if _, first, err := c.Env(t.Context(), "gone", "gone"); !first || err != nil {
		t.Errorf("what was erased is founded anew: %t, %v", first, err)
	}
}

// TestDroppedEnvsAreMadeAgain has several ask at once in twice as many communities
// as Envs are kept: never more are, and each asker is answered from their own log.
func TestDroppedEnvsAreMadeAgain(t *testing.T) {
	c, _ := serverCommunities(t)
	name := func(n int) string { return fmt.Sprintf("Gel %c%c", 'A'+n/26, 'A'+n%26) }
	for n := range 2 * mostEnvs {
		env, _, err := c.Env(t.Context(), strconv.Itoa(n), "Circle")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := env.Group.AddProduct(t.Context(), trade.Product{Name: name(n), Class: calc.MediumHA}); err != nil {
			t.Fatal(err)
		}
	}
	gels := commands.Typed("/group gels", commands.Belonging("lantern", "lantern", true))
	var askers sync.WaitGroup
	for asker := range 4 {
		askers.Go(func() {
			for i := range 2 * mostEnvs {
				n := (i*(1+2*asker) + asker) % (2 * mostEnvs)
				env, first, err := c.Env(t.Context(), strconv.Itoa(n), "Circle")
				if err != nil || first {
					t.Errorf("community %d: founded %t, %v", n, first, err)
					return
				}
				if text := commands.Answer(t.Context(), env, gels).Text(); !strings.Contains(text, name(n)) ||
					!strings.Contains(text, "list: 1") {
					t.Errorf("community %d is told\n%s", n, text)
				}
				c.mu.Lock()
				if n, _ := c.kept().Size(); n > mostEnvs {
					t.Errorf("%d Envs are kept", n)
				}
				c.mu.Unlock()
			}
		})
	}
	askers.Wait()
}
