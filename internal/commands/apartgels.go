package commands

import (
	"context"

	"holdbench/internal/knowledge"
)

const (
	apartGelsName = "trainer gels apart"
	otherOption   = "other"
)

var apartGelsCommand = &Command{
	Name:    apartGelsName,
	Summary: "Say that two gels with similar names are two: the desk stops asking (trainer)",
	Help: "For two names that look like a typing slip but are both right. It is kept for good, with a line in the " +
		"history; it can be undone for an hour.",
	Options: []Option{
		theGel(),
		{Name: otherOption, Help: "the gel with the similar name", Suggest: suggestProducts, Required: true},
		{Name: reasonOption, Help: "why; kept with both", Kept: true},
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer gels apart product:"Orrick Mid" other:"Orrick Firm"`},
	Run:      runApartGels,
}

func runApartGels(ctx context.Context, env *Env, call *Call) (Card, error) {
	one, err := productAsked(call)
	if err != nil {
		return Card{}, err
	}
	other, err := call.exactProduct(otherOption)
	if err != nil {
		return Card{}, err
	}
	if err := env.Group.TellApart(ctx, one.ID, other.ID, call.by, call.value(reasonOption)); err != nil {
		return Card{}, err
	}
	c := Card{Title: one.Name + " and " + other.Name, Verdict: "Two gels. The desk no longer asks about them."}
	return offerUndo(ctx, env, call, c), nil
}
