package commands

import (
	"context"
	"strings"

	"holdbench/internal/knowledge"
)

const renameName = "trainer gels rename"

var renameCommand = &Command{
	Name:    renameName,
	Summary: "Rename a gel; its tests stay with it, and so does the old name (trainer)",
	Help:    "Questions still understand the old name. The history keeps who renamed it, when and why.",
	Options: []Option{
		{Name: productOption, Help: "the gel, by its present name", Suggest: suggestProducts, Required: true},
		{Name: nameOption, Help: "its new name", Required: true, Kept: true},
		{Name: reasonOption, Help: "why; kept with the gel", Kept: true},
		sure(),
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer gels rename product:"Orrick Mid" name:"Orrick Middle"`},
	Run:      runRename,
}

func runRename(ctx context.Context, env *Env, call *Call) (Card, error) {
	product, err := productAsked(call)
	if err != nil {
		return Card{}, err
	}
	name := call.value(nameOption)
	apart, err := nearAnother(ctx, env, call, product.ID, name)
	if err != nil {
		return Card{}, err
	}
	renamed, err := env.Group.RenameProduct(ctx, product.ID, name, call.by, call.value(reasonOption), apart...)
	if err != nil {
		return Card{}, nameTaken(err, name)
	}
	c := Card{Title: renamed.Name, Verdict: "That is its name now; its tests stay with it."}
	c.fact("Also called", "%s", strings.Join(renamed.Aliases, ", "))
	c.Actions = []Action{toAsk("its history", historyName).with(productOption, renamed.Name)}
	return offerUndo(ctx, env, call, c), nil
}
