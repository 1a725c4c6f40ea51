package commands

import (
	"context"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

const classGelName = "trainer gels class"

var classGelCommand = &Command{
	Name:    classGelName,
	Summary: "Say which class a gel is; its answers are recalculated (trainer)",
	Help:    "The calculation starts from the class; the group's own tests move it. Not sure? Choose unknown.",
	Options: []Option{
		theGel(),
		gelClassOption("what kind of gel it is", true),
		{Name: reasonOption, Help: "why; kept with the gel", Kept: true},
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer gels class product:"Orrick Mid" class:"firm HA"`},
	Plain:    wordsAre(productOption),
	Run:      runClassGel,
}

func runClassGel(ctx context.Context, env *Env, call *Call) (Card, error) {
	product, err := productAsked(call)
	if err != nil {
		return Card{}, err
	}
	p, err := env.Group.SetClass(ctx, product.ID, calc.GelClass(call.value(classOption)), call.by,
		call.value(reasonOption))
	if err != nil {
		return Card{}, err
	}
	if p.Class == product.Class {
		return Card{Title: p.Name, Verdict: "It is " + string(p.Class) + " already."}, nil
	}
	c := Card{Title: p.Name, Verdict: string(product.Class) + " → " + string(p.Class)}
	c.line("Every answer about it is being recalculated.")
	return offerUndo(ctx, env, call, c), nil
}
