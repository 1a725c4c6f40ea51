package commands

import (
	"context"

	"holdbench/internal/knowledge"
)

const retireGelName = "trainer gels retire"

var retireGelCommand = &Command{
	Name:    retireGelName,
	Summary: "Take a gel out of use: no longer suggested or asked to be tested; its tests stay (trainer)",
	Help:    "Questions about it are answered as before. With back:yes it is in use again.",
	Options: []Option{
		{Name: productOption, Help: "the gel", Suggest: suggestProducts, Required: true},
		backIntoUse(),
		{Name: reasonOption, Help: "why; kept with the gel", Kept: true},
	},
	Who:      knowledge.TrainerRole,
	Slow:     true,
	Examples: []string{`/trainer gels retire product:"Orrick Mid"`},
	Plain:    wordsAre(productOption),
	Run:      runRetireGel,
}

// backIntoUse is the option that brings back what was retired.
func backIntoUse() Option {
	return Option{Name: backOption, Help: "yes brings it back into use", Kind: YesNo}
}

func runRetireGel(ctx context.Context, env *Env, call *Call) (Card, error) {
	product, by, back, err := gelToChange(ctx, env, call)
	if err != nil || back != nil {
		return cardOr(back), err
	}
	p, err := env.Group.RetireProduct(ctx, product.ID, call.yes(backOption), by, call.value(reasonOption))
	if err != nil {
		return Card{}, err
	}
	return offerUndo(ctx, env, Card{Title: p.Name, Verdict: inUseWords(p.RetiredOn)}, by), nil
}

// inUseWords says whether something is retired.
func inUseWords(retiredOn string) string {
	if retiredOn == "" {
		return "In use."
	}
	return "Retired: it is no longer suggested, nor asked to be tested. Its tests stay."
}
