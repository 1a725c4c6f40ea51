package main

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/discord/discordtest"
)

var update = flag.Bool("update", false, "rewrite what members see, then fail once so that the difference is read")

// numbers are the platform's ids, which differ each time.
var numbers = regexp.MustCompile(`\b\d{17,20}\b`)

// What members see of the weekly prompt in its second week is kept as text, for
// people to read and for docs/discord.md, beside what they see of the commands.
func TestWhatMembersSeeOfTheWeeklyPrompt(t *testing.T) {
	hour := time.Now().UTC().Hour()
	h := newHallAt(t, time.Date(2026, 11, 23, hour, 30, 0, 0, time.UTC)) // about noon in the group's zone
	h.ada.AgreeToPings()
	h.asks(h.ada, "me choices", discordtest.Opt("mentions", true))
	h.asks(h.ada, "stock add", text("Dunmere Deep 30G 4 mm"))
	h.tick(t)
	for _, seconds := range []string{"28.4", "31.2"} {
		h.asks(h.bea, "log", discordtest.Opt("product", "Dunmere Deep"),
			discordtest.Opt("instrument", "30G 8 mm needle"), discordtest.Opt("seconds", seconds),
			discordtest.Opt("timing", "video 60 fps"))
	}
	h.pass(7 * 24 * time.Hour)
	h.tick(t)
	prompts := h.prompts()
	if len(prompts) != 2 {
		t.Fatalf("%d prompts\n%s", len(prompts), h.told)
	}
	got := "> (each Monday, in the channel that the trainer has set; Ada has agreed to be mentioned)\n" +
		numbers.ReplaceAllString(strings.TrimRight(prompts[1].Text(), "\n"), "…") + "\n\n"
	path := filepath.Join("..", "..", "internal", "discord", "testdata", "seen", "prompt.txt")
	want, err := os.ReadFile(path)
	if err == nil && got == string(want) {
		return
	}
	if !*update {
		t.Fatalf("%v\n-want +got:\n%s", err, cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")))
	}
	if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Error("rewritten: read the difference, then run again")
}
