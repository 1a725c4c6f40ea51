package commands

import (
	"context"
	"strings"
	"testing"
)

func TestAPinIsTheCombinationWhateverItsNames(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	for _, question := range []string{"orrick mid 27g 13mm", "hesk paste 1:1 31g 8mm insulin syringe 0.3ml",
		"tamsel soft 33g 6mm needle"} {
		asked := says(t, env, askingMember, question)
		if len(asked.Actions) == 0 {
			t.Fatal(asked.Text())
		}
		for _, a := range asked.Actions {
			short := a.Request.Short()
			if short.Text != "" || len(short.Command+short.About) > 90 {
				t.Errorf("%+v is not short", short)
			}
		}
		again := asked.Actions[len(asked.Actions)-2].Request // log a test of it
		c, err := pinned(must(env.Group.Vocabulary(ctx))(t), again.About)
		if err != nil || !strings.HasPrefix(asked.Title, stockWords(c)+", ") {
			t.Errorf("%s: %s, %v; want %s", again.About, c, err, asked.Title)
		}
		card := Answer(ctx, env, Request{Command: holdName, About: again.About, Asker: askingMember})
		if card.Title != asked.Title || card.Untested != asked.Untested {
			t.Errorf("asked again by its pin:\n%s", card.Text())
		}
	}
}

func TestAPinOfSomethingGoneSaysSo(t *testing.T) {
	env := demoEnv(t)
	for _, about := range []string{"x", "1/2", "999/1/1", "1/99/1", "1/1/99", "1/bucket/1", "1/1/bucket", "-1/1/1",
		"1/1/1/1"} {
		for _, command := range []string{holdName, testsName, compareName, logName} {
			card := Answer(context.Background(), env, Request{Command: command, About: about, Asker: askingMember})
			wants(t, card.Text(), "no longer on the group's list")
		}
	}
}

// What was given beside the combination stands in every choice of a question back, of whatever command.
func TestAChoiceKeepsWhatElseWasGiven(t *testing.T) {
	env := demoEnv(t)
	for line, want := range map[string]map[string]string{
		"/explain picture orrick mid background:dark":                     {backgroundOption: darkPaper},
		"/bench aside orrick mid date:yesterday lot:A12":                  {"date": "yesterday", lotOption: "A12"},
		"/trainer class orrick mid liquid:water temperature:21":           {"liquid": "water", "temperature": "21"},
		"/totest take orrick mid by:friday":                               {byOption: "friday"},
		"/explain negative orrick mid assumed:\"1 in 200\" placements:12": {placementsOption: "12"},
	} {
		card := says(t, env, askingTrainer, line)
		if len(card.Choices) == 0 {
			t.Fatalf("%s asks nothing back:\n%s", line, card.Text())
		}
		for _, choice := range card.Choices {
			for name, value := range want {
				if got := choice.Request.value(name); got != value {
					t.Errorf("%s, %s: %s %q, want %q", line, choice.Label, name, got, value)
				}
			}
		}
	}
}
