package commands

import (
	"context"

	"holdbench/internal/knowledge"
)

const retireNeedleName = "trainer needles retire"

var retireNeedleCommand = &Command{
	Name:    retireNeedleName,
	Summary: "Take a needle or cannula out of use: no longer suggested; its tests stay (trainer)",
	Help:    "Questions about it are answered as before. With back:yes it is in use again.",
	Options: []Option{
		{Name: instrumentOption, Help: "the needle or cannula", Suggest: suggestInstruments, Required: true},
		backIntoUse(),
		{Name: reasonOption, Help: "why; kept with it", Kept: true},
	},
	Who:      knowledge.TrainerRole,
	Slow:     true,
	Examples: []string{`/trainer needles retire instrument:"30G 13 mm needle"`},
	Plain:    wordsAre(instrumentOption),
	Run:      runRetireNeedle,
}

func runRetireNeedle(ctx context.Context, env *Env, call *Call) (Card, error) {
	by, err := call.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	i, back, err := listedInstrument(ctx, env, call)
	if err != nil || back != nil {
		return cardOr(back), err
	}
	if i, err = env.Group.RetireInstrument(ctx, i.ID, call.yes(backOption), by, call.value(reasonOption)); err != nil {
		return Card{}, err
	}
	return offerUndo(ctx, env, Card{Title: i.Name(), Verdict: inUseWords(i.RetiredOn)}, by), nil
}
