package commands

import (
	"fmt"
	"log/slog"
	"regexp"
	"strings"
	"testing"

	"holdbench/internal/knowledge"
)

// TestWhatTheStoreCannotDoIsSaidInWords: the asker is told what happened, whether
// anything was stored as far as that is certain, and a reference under which the
// log has the cause.
func TestWhatTheStoreCannotDoIsSaidInWords(t *testing.T) {
	cases := map[error][]string{
		knowledge.ErrFull:        {"disk is full", nothingStored},
		knowledge.ErrReadOnly:    {"write-protected", nothingStored},
		knowledge.ErrBusy:        {"Another program is holding the log", nothingStored},
		knowledge.ErrNewerStore:  {"newer version", nothingStored},
		knowledge.ErrDamaged:     {"damaged", nothingStored, "backup"},
		knowledge.ErrUnreachable: {"cannot be reached", "not certain"},
		knowledge.ErrDisk:        {"disk does not work", "not certain"},
	}
	env := demoEnv(t)
	for fault, parts := range cases {
		var log strings.Builder
		env.Log = slog.New(slog.NewTextHandler(&log, nil))
		card := Broken(t.Context(), env, fmt.Errorf("log test: %w (cause 4711)", fault))
		text := card.Text()
		wants(t, text, parts...)
		reference := regexp.MustCompile(`Reference ([0-9a-f]{8})`).FindStringSubmatch(text)
		if !card.Failed || reference == nil || strings.Contains(text, "4711") {
			t.Errorf("%v is told as\n%s", fault, text)
			continue
		}
		wants(t, log.String(), "reference="+reference[1], "4711")
	}
}
