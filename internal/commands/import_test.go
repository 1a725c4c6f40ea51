package commands

import (
	"context"
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"holdbench/internal/knowledge"
)

// attachedFile is a request with one of the sheets attached; fetched counts how often it was read.
func attachedFile(t *testing.T, asker Asker, name string, fetched *int) Request {
	t.Helper()
	data, err := os.ReadFile(sheetFolder + "sheets/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return Request{Command: importName, Asker: asker, Attached: &Attached{Name: name, Size: int64(len(data)),
		Read: func(context.Context, int64) ([]byte, error) { *fetched++; return data, nil }}}
}

// pressed is the answer to the choice or the button with that label.
func pressed(t *testing.T, env *Env, c Card, asker Asker, label string) Card {
	t.Helper()
	for _, choice := range c.Choices {
		if choice.Label == label {
			choice.Request.Asker = asker
			return Answer(t.Context(), env, choice.Request)
		}
	}
	for _, action := range c.Actions {
		if action.Label == label {
			action.Request.Asker = asker
			return Answer(t.Context(), env, action.Request)
		}
	}
	t.Fatalf("nothing is called %q:\n%s", label, c.Text())
	return c
}

func TestASpreadsheetComesInByChat(t *testing.T) {
	env, fetched := demoEnv(t), 0
	c := Answer(t.Context(), env, attachedFile(t, askingTrainer, "12-unknown-people.csv", &fetched))
	wants(t, c.Text(), `"Gull", in 1 row from line 2, is on no list. What is it?`, "3 questions are open")
	old := c
	c = pressed(t, env, c, askingTrainer, "add")
	wants(t, c.Text(), `"Osier W"`)
	wants(t, pressed(t, env, old, askingTrainer, "leave out").Text(), `"Osier W"`) // an older message answers nothing
	wants(t, pressed(t, env, c, askingTrainer, "it is osier").Text(), "is on no list")
	c = says(t, env, askingTrainer, "/trainer import answer:nobody")
	wants(t, c.Text(), "“nobody” does not answer that")
	c = says(t, env, askingTrainer, `/trainer import answer:"leave out"`)
	wants(t, c.Text(), "Nothing is stored yet", "2 to add, 0 there already", "1, by your answers")
	if _, err := env.Group.Member(t.Context(), "Gull"); !errors.Is(err, knowledge.ErrNotFound) {
		t.Errorf("stored before a yes: %v", err)
	}
	if other := pressed(t, env, c, Asker{Ref: "second", Name: "second", Role: knowledge.TrainerRole},
		"store 2"); !other.Refused {
		t.Errorf("somebody else went on with it:\n%s", other.Text())
	}
	done := pressed(t, env, c, askingTrainer, "store 2")
	wants(t, done.Text(), "2 added, 0 there already", "who brought them in")
	wants(t, pressed(t, env, c, askingTrainer, "store 2").Text(), "no longer has that") // pressed twice
	wants(t, says(t, env, askingTrainer, "/record history").Text(), "imported by lantern")
}

func TestNobodyElseGetsAFileFetched(t *testing.T) {
	env, fetched := demoEnv(t), 0
	for _, asker := range []Asker{{Ref: "osier", Name: "osier", Role: knowledge.MemberRole},
		{Ref: "stranger", Name: "stranger"}} {
		if c := Answer(t.Context(), env, attachedFile(t, asker, "01-semicolons.csv", &fetched)); !c.Refused {
			t.Errorf("%s: %s", asker.Ref, c.Text())
		}
	}
	large := attachedFile(t, askingTrainer, "01-semicolons.csv", &fetched)
	large.Attached.Size = chatLimits().Bytes + 1
	wants(t, Answer(t.Context(), env, large).Text(), "larger than 4 MB")
	if fetched != 0 {
		t.Errorf("fetched %d times", fetched)
	}
}

func TestAnAttachedSheetIsForgottenAndWhatIsBadIsTold(t *testing.T) {
	env, fetched, now := demoEnv(t), 0, stopped()
	env.Now = func() time.Time { return now }
	c := Answer(t.Context(), env, attachedFile(t, askingTrainer, "16-bad-rows.csv", &fetched))
	wants(t, c.Text(), "Bad: 3 rows", "Line 3: Soon is not one result", "Line 4: Day: 2026-02-30")
	now = now.Add(sheetKeptFor)
	wants(t, pressed(t, env, c, askingTrainer, "store the good rows").Text(), "no longer has that")
	failing := attachedFile(t, askingTrainer, "01-semicolons.csv", &fetched)
	failing.Attached.Read = func(context.Context, int64) ([]byte,
		error) {
		return nil, errors.New("https://cdn.invalid/secret")
	}
	if text := Answer(t.Context(), env, failing).Text(); !strings.Contains(text, "could not be fetched") ||
		strings.Contains(text, "secret") {
		t.Errorf("%s", text)
	}
}
