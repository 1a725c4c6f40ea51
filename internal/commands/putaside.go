package commands

import (
	"context"
	"regexp"
	"slices"
	"strconv"

	"holdbench/internal/knowledge"
)

const (
	asideName = "aside"
	boxName   = "box"
	outOption = "out"
	allOption = "all"
)

var asideCommand = &Command{
	Name:    asideName,
	Summary: "Note a nearly finished syringe put aside for the bench, with a clean needle on",
	Help: "It gets a label, B-1, B-2 and so on: write it on the syringe. /" + benchName + " makes a run sheet of what waits, " +
		"and /" + batchName + " logs all results in one message.",
	Free:     true,
	FreeHelp: "the combination, as in: orrick mid 30G 13 mm",
	Options: combinationOptions(
		Option{Name: "date", Help: "the day it was put aside, today unless said", Kind: Date},
	),
	Who:      anyMember,
	Slow:     true,
	Bearing:  Bearing{Bench: true},
	Examples: []string{"/aside orrick mid 30G 13 mm"},
	Run:      runAside,
}

func runAside(ctx context.Context, env *Env, req Request) (Card, error) {
	if questionText(req) == "" {
		return Card{}, refuse("Write for example: "+req.example()+".", "Which gel, and which needle or cannula is on it?")
	}
	a, back, err := readQuestion(ctx, env, req)
	if err != nil {
		return Card{}, err
	}
	if back != nil {
		return keeping(*back, req, "date"), nil
	}
	m, err := req.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	isNew := !onList(ctx, env, a.combination.Instrument)
	item, err := env.Group.PutAside(ctx, knowledge.BoxItem{Member: m, Combination: a.combination, PutOn: req.value("date"), RequestKey: req.Key})
	if err != nil {
		return Card{}, err
	}
	waiting, err := env.Group.Box(ctx, m.ID)
	if err != nil {
		return Card{}, err
	}
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: item.Label() + ": " + item.Combination.String(), Verdict: "Write " + item.Label() + " on the syringe."}
	c.Stored = Stored{What: item.Label() + " (" + item.Combination.String() + ")", How: "was noted as put aside", At: env.moment(ctx)}
	c.line("%s in your box.", count(len(waiting), "syringe"))
	if len(waiting) >= settings.BoxItems {
		c.line("That is enough for a bench session.")
	}
	if isNew {
		c.warn("%s was not on the group's list and has been added%s.", item.Combination.Instrument.Name(), wallRemark(item.Combination.Instrument))
	}
	c.Actions = []Action{{Label: "the run sheet", Request: Request{Command: benchName}}, {Label: "what waits", Request: Request{Command: boxName}}}
	return c, nil
}

var boxCommand = &Command{
	Name:    boxName,
	Summary: "What you have put aside for the bench; take one out again",
	Help:    "Lists what waits, with its label and since when. What was thrown away untested is taken out by its label.",
	Options: []Option{
		{Name: outOption, Help: "the label of the one that was thrown away, as in B-3"},
		{Name: allOption, Help: "everybody's, not yours alone", Kind: YesNo},
	},
	Who:      anyMember,
	Slow:     true,
	Examples: []string{"/box", "/box all:yes"},
	Run:      runBox,
}

func runBox(ctx context.Context, env *Env, req Request) (Card, error) {
	m, err := req.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	if req.value(outOption) != "" {
		return takeOut(ctx, env, m, req)
	}
	items, title, err := boxOf(ctx, env, m, req)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: title}
	if len(items) == 0 {
		c.Verdict = "Nothing waits."
		c.line("To put one aside: %s", asideCommand.Examples[0])
		return c, nil
	}
	for _, item := range items {
		owner := ""
		if req.value(allOption) == "yes" {
			owner = item.Member.Name + ", "
		}
		c.fact(item.Label(), "%s; %ssince %s", stockWords(item.Combination), owner, item.PutOn)
	}
	c.Actions = []Action{{Label: "the run sheet", Request: Request{Command: benchName, Values: chosen(req, allOption)}}}
	return shortened(c), nil
}

// boxOf is what waits of the asker's or, if they say so, everybody's.
func boxOf(ctx context.Context, env *Env, m knowledge.Member, req Request) (items []knowledge.BoxItem, title string, err error) {
	if req.value(allOption) == "yes" {
		items, err = env.Group.Box(ctx, 0)
		return items, "In the group's bench boxes", err
	}
	items, err = env.Group.Box(ctx, m.ID)
	return items, "In your bench box", err
}

// chosen is those options of a request that are given.
func chosen(req Request, names ...string) map[string]string {
	values := map[string]string{}
	for _, name := range names {
		if v := req.value(name); v != "" {
			values[name] = v
		}
	}
	return values
}

// boxLabel is a label as people type it: B-3, b3, 3.
var boxLabel = regexp.MustCompile(`(?i)^(?:b\s*-?\s*)?(\d{1,4})$`)

func takeOut(ctx context.Context, env *Env, m knowledge.Member, req Request) (Card, error) {
	typed := boxLabel.FindStringSubmatch(req.value(outOption))
	if typed == nil {
		return Card{}, refuse("It takes a label such as B-3.", "The option out cannot be %s.", echo(req.value(outOption)))
	}
	number, err := strconv.Atoi(typed[1])
	if err != nil {
		return Card{}, err // digits: the pattern was met
	}
	all, err := env.Group.Box(ctx, 0)
	if err != nil {
		return Card{}, err
	}
	at := slices.IndexFunc(all, func(i knowledge.BoxItem) bool { return i.Number == number })
	if at < 0 {
		return Card{}, refuse("/"+boxName+" lists what waits.", "Nothing waits at B-%d.", number)
	}
	if all[at].Member.ID != m.ID && !req.Asker.Role.Covers(knowledge.TrainerRole) {
		return Card{}, refuse("The trainer can take it out, too.", "%s is %s's.", all[at].Label(), all[at].Member.Name)
	}
	item, err := env.Group.TakeOut(ctx, all[at].ID, m)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: item.Label() + " is out: " + item.Combination.String(), Verdict: "Nothing was logged of it; its label is free again."}
	c.Actions = []Action{{Label: "what waits", Request: Request{Command: boxName}}}
	return c, nil
}
