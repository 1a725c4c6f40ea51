package commands

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// What every answer must say, whatever it is about, and what some must add.
// Written out here a second time on purpose: dropping one from caveats.go must
// fail a test.
var (
	alwaysSaid = []string{"not mean the tip is outside a vessel", "tissue is not the bench",
		"not for a similar one", "Local protocol", "your own licence and judgement", "slow small amounts",
		"reversal agent"}
	untestedSaid = []string{"a calculation, not a test"}
	bedsideSaid  = []string{"suspicion of an occlusion: stop and follow the local emergency protocol"}
	benchSaid    = []string{"on the bench goes near a patient", "never your own or anybody's blood", "no recapping",
		"Expired or leftover gel only"}

	// The same for the asker alone.
	alwaysBriefly = []string{"not mean outside a vessel", "Bench is the best case", "this set-up only",
		"Local protocol, product instructions, licence and judgement first"}
	untestedBriefly = []string{"A calculation, not a test."}
	bedsideBriefly  = []string{"Occlusion suspected: stop, local emergency protocol", "no guide"}
	benchBriefly    = []string{"never near a patient", "no blood", "sharps into the container", "leftover gel only"}
)

// mostBriefly is how many words the caveats have where the asker alone reads them.
const mostBriefly = 40

func checkBrief(t *testing.T, scene, command string, card Card) {
	t.Helper()
	if card.Brief == nil {
		return
	}
	want := slices.Clone(alwaysBriefly)
	if card.Untested {
		want = append(want, untestedBriefly...)
	}
	switch command {
	case logName:
		want = append(want, benchBriefly...)
	case holdName, helpName:
		want = append(want, bedsideBriefly...)
	}
	text := strings.Join(strings.Fields(card.Text()), " ")
	for _, words := range want {
		if !strings.Contains(text, words) {
			t.Errorf("%s: briefly, the caveat %q is missing", scene, words)
		}
	}
	if n := len(strings.Fields(strings.Join(card.Brief, " "))); n > mostBriefly {
		t.Errorf("%s: %d words: %q", scene, n, card.Brief)
	}
}

func checkCaveats(t *testing.T, scene, command string, card Card) {
	t.Helper()
	if card.Urgent { // the direction stands alone
		wantDirection(t, scene, card, card.Title)
		return
	}
	if card.Bare { // it bears on no hold: one short line and a way on
		if words := len(strings.Fields(card.Title)); words > 20 || len(card.Caveats)+len(card.Facts) > 0 ||
			card.Refused {
			t.Errorf("%s: %d words, or more than a short line:\n%s", scene, words, card.Text())
		}
		return
	}
	want := alwaysSaid
	if card.Untested {
		want = append(want[:len(want):len(want)], untestedSaid...)
	}
	switch command {
	case logName:
		want = append(want[:len(want):len(want)], benchSaid...)
	case holdName, helpName:
		want = append(want[:len(want):len(want)], bedsideSaid...)
	}
	list := strings.Join(card.Caveats, "\n")
	for _, words := range want {
		if !strings.Contains(list, words) {
			t.Errorf("%s: the caveat %q is missing", scene, words)
		}
		if text := strings.Join(strings.Fields(card.InFull().Text()), " "); !strings.Contains(text, words) {
			t.Errorf("%s: the caveat %q is not shown in full", scene, words)
		}
	}
	checkBrief(t, scene, command, card)
	if f, ok := card.Figures.(figures); ok {
		encoded, err := json.Marshal(f)
		if err != nil || !bytes.Contains(encoded, []byte("tissue is not the bench")) {
			t.Errorf("%s: the figures carry no caveats: %s, %v", scene, encoded, err)
		}
	}
}

func TestEveryAnswerOfEveryTranscriptCarriesTheCaveats(t *testing.T) {
	for _, path := range few(transcriptFiles(t), 6) {
		for _, x := range replayed(t, path).exchanges {
			checkCaveats(t, path+": "+x.request.Line(), x.request.Command, x.card)
		}
	}
}

func TestEveryCommandCarriesTheCaveatsWhateverHappens(t *testing.T) {
	env := demoEnv(t)
	for _, cmd := range few(All(), 10) {
		for _, line := range append([]string{"/" + cmd.Name, "/" + cmd.Name + " nonsense:1 nonsense", "/" + cmd.Name +
			" " + strings.Repeat("x", maxText+1)}, cmd.Examples...) {
			for _, asker := range []Asker{askingMember, askingTrainer, askingOutsider} {
				checkCaveats(t, line[:min(len(line), 60)], cmd.Name, says(t, env, asker, line))
			}
		}
	}
	checkCaveats(t, "unknown command", "", says(t, env, askingMember, "/nothing"))
}

// A command to come may answer in any way at all: the caveats are there.
func TestCommandToComeCannotAnswerWithoutTheCaveats(t *testing.T) {
	ends := map[string]func(context.Context, *Env, *Call) (Card, error){
		"an empty card":    func(context.Context, *Env, *Call) (Card, error) { return Card{}, nil },
		"an untested card": func(context.Context, *Env, *Call) (Card, error) { return Card{Untested: true}, nil },
		"caveats of its own": func(context.Context, *Env, *Call) (Card,
			error) {
			return Card{Caveats: []string{"none needed"}}, nil
		},
		"figures": func(context.Context, *Env, *Call) (Card,
			error) {
			return Card{Figures: answered{}}, nil
		},
		"a user's error": func(context.Context, *Env, *Call) (Card,
			error) {
			return Card{}, refuse("hint", "problem")
		},
		"a value refused": func(context.Context, *Env, *Call) (Card, error) {
			return Card{}, &trade.FieldError{Field: "note", Problem: "is too long"}
		},
		"outside the domain": func(context.Context, *Env, *Call) (Card, error) {
			return Card{}, &calc.RangeError{Name: "bore", Want: "above 0"}
		},
		"too long": func(context.Context, *Env, *Call) (Card, error) {
			return Card{}, fmt.Errorf("x: %w", context.DeadlineExceeded)
		},
		"a fault of ours": func(context.Context, *Env, *Call) (Card,
			error) {
			return Card{}, errors.New("disk on fire")
		},
		"a panic": func(context.Context, *Env, *Call) (Card, error) { panic("boom") },
	}
	for scene, end := range ends {
		t.Run(scene, func(t *testing.T) {
			all := []*Command{{Name: "new", Who: anyMember, Run: end}}
			env := &Env{Log: slog.New(slog.DiscardHandler)}
			card := answer(context.Background(), env, all, Request{Command: "new", Asker: askingMember})
			checkCaveats(t, scene, "new", card)
			if strings.Contains(card.Text(), "none needed") {
				t.Error("the command's own caveats were taken")
			}
		})
	}
}
