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
	Summary: "Say that two gels whose names are alike are two: the desk stops asking (trainer)",
	Help: "For names that differ by a slip of the finger and are right as they are. It stands for good, with a line " +
		"in the history; for an hour it can be undone.",
	Options: []Option{
		theGel(),
		{Name: otherOption, Help: "the gel whose name is like it", Suggest: suggestProducts, Required: true},
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
