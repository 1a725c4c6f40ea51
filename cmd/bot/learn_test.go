package main

import (
	"log/slog"
	"testing"
	"time"

	"holdbench/config"
	"holdbench/internal/knowledge"
)

func TestLearnSaysWhatTheLogTells(t *testing.T) {
	wants(t, mustRun(t, nil, "", "learn"), "your group's own spread, from 42 repeats in 21 combinations by 9 testers",
		"between testers       11 %, 5 to 16 (default 8)")
	environ := ownStore(t)
	wants(t, mustRun(t, environ, "", "learn"), "stand on the defaults: there are 0 repeats", "it takes 30 in 8")
	if got := bot(t, environ, "", "learn", "more"); exitCode(got.err) != exitUsage {
		t.Errorf("exit code %d, %v", exitCode(got.err), got.err)
	}
}

// What was learned is what the next call answers from.
func TestAnswersStandOnWhatWasLearned(t *testing.T) {
	environ := ownStore(t)
	for _, kind := range knowledge.ImportKinds() {
		mustRun(t, environ, "", "import", string(kind), demoFile(string(kind)))
	}
	const question, why = "hold time for Orrick Mid on 27G 13 mm", "/explain why Orrick Mid 27G 13 mm"
	wants(t, mustRun(t, environ, "", "ask", why), "spread between tests from the defaults")
	mustRun(t, environ, "", "learn")
	wants(t, mustRun(t, environ, "", "ask", why), "spread between tests from your group's own 42 repeats")
	wants(t, mustRun(t, environ, "", "ask", "--json", question), `"spread":"your group's"`)
}

func TestTheBackgroundLearns(t *testing.T) {
	settings, err := config.Load("", nil)
	if err != nil {
		t.Fatal(err)
	}
	c, err := open(t.Context(), settings, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	stop := learner{c.store, slog.New(slog.DiscardHandler), time.Millisecond, time.Millisecond}.start(t.Context())
	var s knowledge.GroupSpread
	for end := time.Now().Add(time.Minute); !s.Own && time.Now().Before(end); time.Sleep(time.Millisecond) {
		if s, err = c.group.SpreadInForce(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	stop()
	if s.Version != 1 || !s.Own {
		t.Errorf("in force after a minute: %+v", s)
	}
	if err := c.Close(); err != nil {
		t.Error(err)
	}
}

// The program may end while it learns.
func TestTheBackgroundEndsInTheMiddle(t *testing.T) {
	settings, err := config.Load("", nil)
	if err != nil {
		t.Fatal(err)
	}
	c, err := open(t.Context(), settings, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	stop := learner{c.store, slog.New(slog.DiscardHandler), 0, time.Hour}.start(t.Context())
	time.Sleep(20 * time.Millisecond) // somewhere on the way, or done: both must end well
	stop()
	if s, err := c.group.SpreadInForce(t.Context()); err != nil || s.Version > 1 {
		t.Errorf("in force: %+v, %v", s, err)
	}
	if err := c.Close(); err != nil {
		t.Error(err)
	}
}
