package discord

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

const byEarlier = "The estimate does not count the latest tests yet"

// impatient is a scene whose store never waits for a new estimate. Estimates that are to be made wait while
// the lock is held.
func impatient(t *testing.T) (*scene, *sync.Mutex) {
	t.Helper()
	var held sync.Mutex
	turn := func() { held.Lock(); defer held.Unlock() }
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
		knowledge.WithPatience(0), knowledge.WithTurn(turn)); err != nil {
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
	return s, &held
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
	s, estimates := impatient(t)
	estimates.Lock()
	m := s.logged(s.ada).Message()
	if text := later(s, m.ID); !strings.Contains(text, byEarlier) || !strings.Contains(text, "Logged as test 145") {
		t.Errorf("the first answer goes by the latest estimate:\n%s", text)
	}
	estimates.Unlock()
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
	s, estimates := impatient(t)
	s.wantAnswers(t)
	until(t, "the work is put away", s.idle)
	g := s.group(t)
	// asked logs a test and asks for the hold before the estimate with it is made.
	tenths := 0
	asked := func() string {
		tests, err := g.Tests(t.Context(), knowledge.TestFilter{Limit: 1})
		if err != nil {
			t.Fatal(err)
		}
		tenths++
		other := tests[0]
		other.ID, other.Outcome, other.SecondsTyped, other.RequestKey = 0, knowledge.Flashback, "", ""
		other.Seconds, other.TestedOn, other.WatchedS = 2.5+float64(tenths)/10, "2026-11-23", 30
		if _, err := g.LogTest(t.Context(), other); err != nil {
			t.Fatal(err)
		}
		text := other.Combination.Product.Name + " " + other.Combination.Instrument.Name()
		m := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", text)).Message()
		if text := later(s, m.ID); !strings.Contains(text, byEarlier) {
			t.Errorf("the first answer goes by the latest estimate:\n%s", text)
		}
		return m.ID
	}
	estimates.Lock()
	edited := asked()
	estimates.Unlock()
	until(t, "the hold is edited", func() bool { return !strings.Contains(later(s, edited), byEarlier) })
	until(t, "the work is put away", s.idle)
	s.srv.Fault(discordtest.Failing(403).On("PATCH", "/webhooks/*/*/messages/@original").Times(-1))
	estimates.Lock()
	failed := asked()
	estimates.Unlock()
	until(t, "the work is put away", s.idle)
	if text := later(s, failed); !strings.Contains(text, byEarlier) {
		t.Errorf("the edit failed, and the answer does not stand as it was:\n%s", text)
	}
}
