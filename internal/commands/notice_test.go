package commands

import (
	"errors"
	"testing"
	"time"
)

func TestASurfacesOwnWordsCarryTheCaveats(t *testing.T) {
	env := demoEnv(t)
	for scene, card := range map[string]Card{
		"stale": Stale(t.Context(), env, ""), "busy": Busy(t.Context(), env),
		"in private": InPrivate(t.Context(), env, myDataName), "homeless": NoServer(t.Context(), env),
		"broken":      Broken(t.Context(), env, errors.New("disk on fire")),
		"slowly":      Slowly(t.Context(), env, 400*time.Millisecond, true),
		"switched":    Switched(t.Context(), env, "North"),
		"which group": WhichGroup(t.Context(), env, []string{"North", "South"}, Request{Command: holdName}),
	} {
		checkCaveats(t, scene, holdName, card)
		if scene == "slowly" {
			wants(t, card.Text(), "Your group is asking a lot just now.", "Please ask again in 1 second.", "outside a vessel")
		}
	}
}
