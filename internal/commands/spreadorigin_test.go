package commands

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

// What explains an estimate says whether it stands on the defaults or on the group's
// own spread; an answer at mid-day has no room for it.
func TestExplanationsSayWhoseSpreadTheyStandOn(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	lines := []string{"/explain why Orrick Mid 27G 13 mm needle", "/explain why Orrick Mid 29G 13 mm needle"}
	said := func(want string) {
		t.Helper()
		for _, line := range lines {
			card := says(t, env, askingTrainer, line)
			if !slices.ContainsFunc(card.Sources, func(s string) bool { return strings.HasPrefix(s, want) }) {
				t.Errorf("%s: sources %q in\n%s", line, card.Sources, card.Text())
			}
		}
	}
	said("spread between tests from the defaults")
	if o, err := env.Group.LearnSpreadsNow(ctx); err != nil || !o.InForce.Own {
		t.Fatalf("%+v, %v", o, err)
	}
	said("spread between tests from your group's own 4")
}

func TestFiguresSayWhoseSpreadTheyStandOn(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	origin := func() string {
		t.Helper()
		text, err := json.Marshal(says(t, env, askingMember, "/hold Orrick Mid 27G 13 mm needle").Figures)
		if err != nil {
			t.Fatal(err)
		}
		var figures struct{ Spread string }
		if err := json.Unmarshal(text, &figures); err != nil {
			t.Fatal(err)
		}
		return figures.Spread
	}
	if got := origin(); got != "defaults" {
		t.Errorf("before: %q", got)
	}
	if _, err := env.Group.LearnSpreadsNow(ctx); err != nil {
		t.Fatal(err)
	}
	if got := origin(); got != "your group's" {
		t.Errorf("after: %q", got)
	}
}
