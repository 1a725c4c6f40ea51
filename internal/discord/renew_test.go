package discord

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

const byEarlier = "The estimate is the one before the latest tests"

// impatient is a scene whose store never waits for a new estimate.
func impatient(t *testing.T) *scene {
	t.Helper()
	s := stage(t, discordtest.Options{})
	path := filepath.Join(t.TempDir(), "impatient.db")
	data, err := template()
	if err == nil {
		err = os.WriteFile(path, data, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	if s.store, err = knowledge.Open(t.Context(), path, knowledge.WithClock(stopped),
		knowledge.WithPatience(0)); err != nil {
		t.Fatal(err)
	}
	store := s.store
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	s.make(t, Settings{})
	s.start(t)
	s.ready(t)
	return s
}

// later is what a message has become.
func later(s *scene, id string) string {
	for _, m := range s.guild.Channel("general").Messages(s.ada) {
		if m.ID == id {
			return m.Text()
		}
	}
	return ""
}

func TestAReceiptIsEditedWhenTheEstimateIsThere(t *testing.T) {
	s := impatient(t)
	first := make(chan string, 1)
	answer := s.bot.answer
	s.bot.answer = func(ctx context.Context, env *commands.Env, req commands.Request) commands.Card {
		card := answer(ctx, env, req)
		select {
		case first <- card.Text():
		default:
		}
		return card
	}
	m := s.logged(s.ada).Message()
	if text := <-first; !strings.Contains(text, byEarlier) || !strings.Contains(text, "Logged as test 145") {
		t.Fatalf("the first answer goes by the latest estimate:\n%s", text)
	}
	until(t, "the receipt is edited", func() bool {
		text := later(s, m.ID)
		return strings.Contains(text, "Logged as test 145") && !strings.Contains(text, byEarlier)
	})
	if n := s.tests(t); n != 145 {
		t.Errorf("%d tests, want one more than 144", n)
	}
	until(t, "the work is put away", s.idle)
}

func TestAHoldIsEditedWhenTheEstimateIsThereAndStandsWhereThatFails(t *testing.T) {
	s := impatient(t)
	s.wantAnswers(t)
	until(t, "the work is put away", s.idle)
	g := s.group(t)
	var behind atomic.Bool
	answer := s.bot.answer
	s.bot.answer = func(ctx context.Context, env *commands.Env, req commands.Request) commands.Card {
		card := answer(ctx, env, req)
		if card.Behind != 0 {
			behind.Store(true)
		}
		return card
	}
	// held logs a test and asks at once; the estimate may be there first, so it is tried again.
	tenths := 0
	held := func() string {
		for range 20 {
			tests, err := g.Tests(t.Context(), knowledge.TestFilter{Limit: 1})
			if err != nil {
				t.Fatal(err)
			}
			tenths++
			other := tests[0]
			other.ID, other.Outcome, other.SecondsTyped, other.RequestKey = 0, knowledge.Flashback, "", ""
			other.Seconds, other.TestedOn, other.WatchedS = 2.5+float64(tenths)/10, "2026-11-23", 30
			behind.Store(false)
			if _, err := g.LogTest(t.Context(), other); err != nil {
				t.Fatal(err)
			}
			text := other.Combination.Product.Name + " " + other.Combination.Instrument.Name()
			m := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", text)).Message()
			until(t, "the work is put away", s.idle)
			if err := g.EstimateMade(t.Context(), other.Combination.Product.ID); err != nil {
				t.Fatal(err)
			}
			if behind.Load() {
				return m.ID
			}
		}
		t.Fatal("no answer went by the estimate before")
		return ""
	}
	edited := held()
	until(t, "the hold is edited", func() bool { return !strings.Contains(later(s, edited), byEarlier) })
	s.srv.Fault(discordtest.Failing(403).On("PATCH", "/webhooks/*/*/messages/@original").Times(-1))
	if text := later(s, held()); !strings.Contains(text, byEarlier) {
		t.Errorf("the edit failed, and the answer does not stand as it was:\n%s", text)
	}
}
