package commands

import (
	"strings"
	"testing"
)

const doubtfulNote = "my patient bruised"

// What may be about a patient is asked about once, before anything is stored.
func TestADoubtfulNoteIsAskedAbout(t *testing.T) {
	env := demoEnv(t)
	req := Request{Command: logName, Asker: askingTrainer, Values: map[string]string{
		productOption: "Orrick Mid", instrumentOption: "30G 13 mm needle", "seconds": "7.13", "note": doubtfulNote,
	}}
	card := Answer(t.Context(), env, req)
	if len(card.Choices) != 2 || !strings.Contains(card.Title, "about a patient?") {
		t.Fatalf("not asked:\n%s", card.Text())
	}
	keep, leave := card.Choices[0].Request, card.Choices[1].Request
	keep.Asker, leave.Asker = askingTrainer, askingTrainer
	leave = leave.with("seconds", "7.2") // another test: the same one twice is asked about
	if kept := Answer(t.Context(), env, keep); !strings.Contains(kept.Text(), doubtfulNote) ||
		!strings.Contains(kept.Verdict, "Logged") {
		t.Errorf("not kept after a no:\n%s", kept.Text())
	}
	if left := Answer(t.Context(), env, leave); strings.Contains(left.Text(), doubtfulNote) ||
		!strings.Contains(left.Verdict, "Logged") {
		t.Errorf("not left out after a yes:\n%s", left.Text())
	}
}

// A no does not open the way for what is sure.
func TestANoDoesNotKeepASureThing(t *testing.T) {
	env := demoEnv(t)
	card := Answer(t.Context(), env, Request{Command: logName, Asker: askingTrainer, NoPatient: true,
		Values: map[string]string{
			productOption: "Orrick Mid", instrumentOption: "30G 13 mm needle", "seconds": "7.13",
			"note": "née le 04/07/1961",
		}})
	if !card.Refused {
		t.Errorf("kept:\n%s", card.Text())
	}
}

// Every option that is stored as typed asks.
func TestWhateverIsKeptAsks(t *testing.T) {
	env := demoEnv(t)
	asked := 0
	for _, cmd := range All() {
		for _, o := range cmd.Options {
			if !o.Kept {
				continue
			}
			req := Request{Command: cmd.Name, Asker: askingTrainer, Values: requiredOf(cmd)}
			if card := Answer(t.Context(), env, req.with(o.Name, doubtfulNote)); len(card.Choices) != 2 {
				t.Errorf("/%s %s:\n%s", cmd.Name, o.Name, card.Text())
			}
			asked++
		}
	}
	if asked < 10 {
		t.Errorf("only %d options are kept", asked)
	}
}

func TestAShownNameThatPassesForAnotherIsNotStored(t *testing.T) {
	env := demoEnv(t)
	for i, name := range []string{"Pell Ormond", "Рell Ormond", "a former member"} {
		m, err := Belonging([]string{"123456789012345671", "123456789012345672", "123456789012345673"}[i], name,
			false).member(t.Context(), env)
		if want := []string{"Pell Ormond", unnamed, unnamed}[i]; err != nil || m.Name != want {
			t.Errorf("%q: %+v, %v", name, m, err)
		}
	}
}
