package commands

import (
	"context"

	"holdbench/internal/knowledge"
)

const asideName = "bench aside"

var asideCommand = &Command{
	Name:    asideName,
	Summary: "Note a nearly finished syringe put aside for the bench, with a clean needle on",
	Help: "It gets a label, B-1, B-2 and so on: write it on the syringe. /" + benchName +
		" makes a run sheet of what waits, and /" + batchName + " logs all results in one message.",
	Free:     true,
	FreeHelp: "the combination, as in: orrick mid 30G 13 mm",
	Options: combinationOptions(
		Option{Name: "date", Help: "the day it was put aside, today unless said", Kind: Date,
			Suggest: suggestPastDay}, lotChoice(),
	),
	Who:      anyMember,
	Bearing:  Bearing{Bench: true},
	Examples: []string{"/bench aside orrick mid 30G 13 mm"},
	Run:      runAside,
}

func runAside(ctx context.Context, env *Env, call *Call) (Card, error) {
	lot, err := takeLot(call)
	if err != nil {
		return Card{}, err
	}
	a, err := readQuestion(env, call)
	if err != nil {
		return Card{}, err
	}
	m, err := call.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	item, err := env.Group.PutAside(ctx, knowledge.BoxItem{Member: m, Combination: a.combination,
		PutOn: call.day("date"), Lot: lot, RequestKey: call.Key})
	if err != nil {
		return Card{}, err
	}
	waiting, err := env.Group.Box(ctx, m.ID)
	if err != nil {
		return Card{}, err
	}
	label, name := item.Label(), item.Combination.String()
	c := Card{Title: label + ": " + name, Verdict: "Write " + label + " on the syringe."}
	c.Stored = Stored{What: label + " (" + name + ")", How: "was noted as put aside", At: call.now}
	c.line("%s in your box.", count(len(waiting), "syringe"))
	c.fact("On the box", "%s", item.Lot)
	if len(waiting) >= call.settings.BoxItems {
		c.line("That is enough for a bench session.")
	}
	if !call.listed(a.combination.Instrument) {
		c.warn("%s was not on the group's list and has been added%s.", item.Combination.Instrument.Name(),
			wallRemark(item.Combination.Instrument))
	}
	c.Actions = []Action{toAsk("the run sheet", benchName), toAsk("what waits", boxName)}
	return c, nil
}
