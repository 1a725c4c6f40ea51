package commands

import (
	"context"
	"errors"
	"log/slog"
	"regexp"
	"strings"
	"testing"

	"holdbench/internal/knowledge"
)

// answerWith runs one command that ends in a given way, and returns the log too.
func answerWith(t *testing.T, who knowledge.Role, asker Asker, run func(context.Context, *Env, *Call) (Card,
	error)) (Card, string) {
	t.Helper()
	var log strings.Builder
	env := &Env{Log: slog.New(slog.NewTextHandler(&log, nil))}
	all := []*Command{{Name: "new", Who: who, Run: run}}
	return answer(context.Background(), env, all, Request{Command: "new", Asker: asker}), log.String()
}

func TestFaultOfOursIsToldByReferenceAlone(t *testing.T) {
	ends := map[string]func(context.Context, *Env, *Call) (Card, error){
		"error": func(context.Context, *Env, *Call) (Card, error) { return Card{}, errors.New("disk on fire") },
		"panic": func(context.Context, *Env, *Call) (Card, error) { panic("disk on fire") },
	}
	for scene, end := range ends {
		t.Run(scene, func(t *testing.T) {
			card, log := answerWith(t, anyMember, askingMember, end)
			if !card.Failed || card.Refused {
				t.Errorf("failed %t, refused %t", card.Failed, card.Refused)
			}
			if strings.Contains(card.Text(), "fire") {
				t.Errorf("the asker sees the cause:\n%s", card.Text())
			}
			reference := regexp.MustCompile(`Reference ([0-9a-f]{8})`).FindStringSubmatch(card.Text())
			if reference == nil {
				t.Fatalf("no reference in\n%s", card.Text())
			}
			wants(t, log, "disk on fire", reference[1])
		})
	}
}

func TestPermissionIsTheDeclarations(t *testing.T) {
	fine := func(context.Context, *Env, *Call) (Card, error) { return Card{Title: "done"}, nil }
	cases := []struct {
		scene string
		who   knowledge.Role
		asker Asker
		ok    bool
		hint  string
	}{
		{"member asks for what members may", anyMember, askingMember, true, ""},
		{"trainer asks for what members may", anyMember, askingTrainer, true, ""},
		{"outsider asks for what members may", anyMember, askingOutsider, false, "members of the group"},
		{"member asks for what trainers may", knowledge.TrainerRole, askingMember, false, "trainer"},
		{"trainer asks for what trainers may", knowledge.TrainerRole, askingTrainer, true, ""},
	}
	for _, c := range cases {
		t.Run(c.scene, func(t *testing.T) {
			card, _ := answerWith(t, c.who, c.asker, fine)
			if card.Refused == c.ok || (card.Title == "done") != c.ok {
				t.Errorf("refused %t, title %q", card.Refused, card.Title)
			}
			wants(t, card.Text(), c.hint)
		})
	}
}

func TestEndedContextIsSaidPlainly(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	env := &Env{Log: slog.New(slog.DiscardHandler)}
	all := []*Command{{Name: "new", Who: anyMember, Run: func(context.Context, *Env, *Call) (Card, error) {
		t.Error("ran all the same")
		return Card{}, nil
	}}}
	card := answer(ctx, env, all, Request{Command: "new", Asker: askingMember})
	wants(t, card.Title, "took too long")
}

func TestUnknownCommandIsSaidPlainly(t *testing.T) {
	card := answer(context.Background(), &Env{Log: slog.New(slog.DiscardHandler)}, All(),
		Typed("/wobble now", askingMember))
	if !card.Refused {
		t.Error("not refused")
	}
	wants(t, card.Text(), "/wobble", "/holdbench help")
}
