package commands

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"testing"
)

func TestAFaultThatQuotesWhatWasTypedIsLoggedWithoutIt(t *testing.T) {
	for name, run := range map[string]func(Request) error{
		"error": func(r Request) error { return fmt.Errorf("reading %q: %w", r.Text, errors.New("disk on fire")) },
		"panic": func(r Request) error { panic("disk on fire while reading " + strings.ToUpper(r.value("note"))) },
	} {
		var text bytes.Buffer
		env := &Env{Now: stopped,
			Log: slog.New(slog.NewJSONHandler(&text, &slog.HandlerOptions{Level: slog.LevelDebug}))}
		cmd := &Command{Name: "try", Who: anyMember, Free: true, Options: []Option{{Name: "note"}},
			Run: func(_ context.Context, _ *Env, r *Call) (Card, error) { return Card{}, run(r.Request) }}
		card := answer(t.Context(), env, []*Command{cmd}, Request{Command: "try", Text: "Quillon said, fernwick",
			Values: map[string]string{"note": "umberly (twice)"}, Asker: askingMember})
		if !card.Failed {
			t.Errorf("%s: %s", name, card.Text())
		}
		line := strings.ToLower(text.String())
		for _, word := range []string{"quillon", "fernwick", "umberly", "twice"} {
			if strings.Contains(line, word) {
				t.Errorf("%s: %q is in %s", name, word, line)
			}
		}
		wants(t, line, "disk on fire", "reference", "try")
		if strings.Count(line, "\n") != 1 {
			t.Errorf("%s: %d lines", name, strings.Count(line, "\n"))
		}
	}
}
