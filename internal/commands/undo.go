package commands

import (
	"context"
	"errors"
	"strconv"

	"holdbench/internal/knowledge"
)

const (
	undoName     = "trainer undo"
	numberOption = "number"
	sureOption   = "sure"
	backOption   = "back"
)

var undoCommand = &Command{
	Name:    undoName,
	Summary: "Undo a change of the gels, the needles or the settings of the last hour (trainer)",
	Help: "Alone it lists what can be undone. Undoing puts everything back as it was before the change. If something " +
		"that came later stands in the way, it says what. The history keeps both lines.",
	Options: []Option{
		{Name: numberOption, Help: "the change, by the number in the list", Kind: Whole, Min: 1, Max: 1e9},
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{"/trainer undo"},
	Run:      runUndo,
}

func runUndo(ctx context.Context, env *Env, call *Call) (Card, error) {
	number, given := call.number(numberOption)
	if !given {
		return undoList(ctx, env, call)
	}
	undone, err := env.Group.UndoChange(ctx, int64(number), call.by)
	switch {
	case isNotFound(err):
		return Card{}, refuse("/"+undoName+" lists what can be undone.", "There is no change %d.", int64(number))
	case errors.Is(err, knowledge.ErrDuplicate):
		return Card{}, refuse("/"+historyName+" says what happened since.",
			"It cannot be undone: one of its names is taken by now.")
	case err != nil:
		return Card{}, err
	}
	undone.Reason = "" // it was the reason for the change
	c := Card{Title: "Undone: " + changeSaid(undone, ""), Verdict: "It is as it was before."}
	c.Stored = Stored{What: "undoing", How: "was stored", At: call.now}
	return c, nil
}

func undoList(ctx context.Context, env *Env, call *Call) (Card, error) {
	all, err := env.Group.Undoable(ctx)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "What can be undone, the latest first"}
	if len(all) == 0 {
		c.Verdict = "Nothing. A change of the lists or the settings can be undone for an hour."
	}
	for _, u := range all[:min(len(all), mostListed)] {
		c.fact(u.At.In(call.now.Location()).Format("15:04")+", number "+strconv.FormatInt(u.Number, 10), "%s",
			changeWords(u.LogChange))
		if len(c.Actions) < mostOffered {
			c.Actions = append(c.Actions, undoing(u, "undo "+strconv.FormatInt(u.Number, 10)))
		}
	}
	return c, nil
}

func undoing(u knowledge.Undoable, label string) Action {
	number := map[string]string{numberOption: strconv.FormatInt(u.Number, 10)}
	return Action{Label: label, Request: Request{Command: undoName, Values: number}, Tap: true}
}

// offerUndo adds to a receipt, before its other buttons, one that undoes the trainer's latest
// change.
func offerUndo(ctx context.Context, env *Env, call *Call, c Card) Card {
	all, err := env.Group.Undoable(ctx)
	if err != nil {
		env.Log.WarnContext(ctx, "the change is stored, but no undo is offered", "error", err)
		return c
	}
	for _, u := range all {
		if u.By.ID == call.by.ID {
			c.Actions = append([]Action{undoing(u, "undo")}, c.Actions...)
			break
		}
	}
	return c
}
