package commands

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

// Whatever shows an estimate says whether it stands on the defaults or on the
// group's own spread.
func TestAnswersSayWhoseSpreadTheyStandOn(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	lines := []string{
		"/hold Orrick Mid 27G 13 mm needle", "/hold Orrick Mid 29G 13 mm needle", `/group compare product:"Orrick Mid"`,
		`/log product:"Orrick Mid" instrument:"27G 13 mm needle" seconds:4.1`, "/record withdraw test:20 reason:\"the wrong milk\"", "/totest list",
	}
	for _, line := range lines {
		if card := says(t, env, askingTrainer, line); !slices.Equal(card.Sources, []string{"spread between tests from the defaults"}) {
			t.Errorf("%s: sources %q in\n%s", line, card.Sources, card.Text())
		}
	}
	o, err := env.Group.LearnSpreadsNow(ctx)
	if err != nil || !o.InForce.Own {
		t.Fatalf("%+v, %v", o, err)
	}
	again := `/log product:"Orrick Mid" instrument:"27G 13 mm needle" seconds:4.2` // the same twice is asked about
	for _, line := range append(lines[:3:3], again, "/record restore test:20 reason:\"it was the right one\"", "/totest list") {
		card := says(t, env, askingTrainer, line)
		if len(card.Sources) != 1 || !strings.HasPrefix(card.Sources[0], "spread between tests from your group's own 4") {
			t.Errorf("%s: sources %q in\n%s", line, card.Sources, card.Text())
		}
	}
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
