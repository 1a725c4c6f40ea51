package commands

import (
	"context"
	"strings"

	"holdbench/internal/knowledge"
)

const renameName = "trainer gels rename"

var renameCommand = &Command{
	Name:    renameName,
	Summary: "Give a gel another name; its tests stay with it, the old name too (trainer)",
	Help:    "Questions go on understanding the old name. Who renamed it, when and why is kept.",
	Options: []Option{
		{Name: productOption, Help: "the gel, as it is called now", Suggest: suggestProducts, Required: true},
		{Name: "name", Help: "as it is to be called", Required: true, Kept: true},
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
	apart, err := nearAnother(ctx, env, call, product.ID, call.value("name"))
	if err != nil {
		return Card{}, err
	}
	renamed, err := env.Group.RenameProduct(
		ctx,
		product.ID,
		call.value("name"),
		call.by,
		call.value(reasonOption),
		apart...)
	if err != nil {
		return Card{}, nameTaken(err, call.value("name"))
	}
	c := Card{Title: renamed.Name, Verdict: "So it is called from now on; its tests stay with it."}
	if len(renamed.Aliases) > 0 {
		c.fact("Also called", "%s", strings.Join(renamed.Aliases, ", "))
	}
	c.Actions = []Action{{Label: "its history",
		Request: Request{Command: historyName, Values: map[string]string{productOption: renamed.Name}}}}
	return offerUndo(ctx, env, call, c), nil
}
