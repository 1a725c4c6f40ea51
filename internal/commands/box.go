package commands

import (
	"context"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/knowledge"
)

const (
	boxName   = "bench box"
	outOption = "out"
	allOption = "all"
)

var boxCommand = &Command{
	Name:    boxName,
	Summary: "What you have put aside for the bench; take one out again",
	Help:    "Lists what waits, with its label and since when. Take one that you threw away untested out by its label.",
	Options: []Option{
		{Name: outOption, Help: "the label of the one that was thrown away, as in B-3", Suggest: suggestLabels},
		{Name: allOption, Help: "everybody's, not only yours", Kind: YesNo},
	},
	Who:      anyMember,
	Admits:   true,
	Examples: []string{"/bench box", "/bench box all:yes"},
	Run:      runBox,
}

func runBox(ctx context.Context, env *Env, call *Call) (Card, error) {
	if call.value(outOption) != "" {
		return takeOut(ctx, env, call)
	}
	items, title, err := boxOf(ctx, env, call)
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
		if call.yes(allOption) {
			owner = item.Member.Name + ", "
		}
		since := owner + "since " + item.PutOn
		c.fact(item.Label(), "%s", joinNonEmpty("; ", stockWords(item.Combination), since, item.Lot.String()))
	}
	c.Actions = []Action{{Label: "the run sheet",
		Request: Request{Command: benchName, Values: call.Keeping(allOption)}}}
	return shortened(c), nil
}

// boxOf is what waits in the asker's box or, with all:yes, in everybody's.
func boxOf(ctx context.Context, env *Env, call *Call) (items []knowledge.BoxItem, title string, err error) {
	if call.yes(allOption) {
		items, err = env.Group.Box(ctx, 0)
		return items, "In the group's bench boxes", err
	}
	items, err = env.Group.Box(ctx, call.by.ID)
	return items, "In your bench box", err
}

// boxLabel is a label as people type it, B-3, b3 or 3, or as it is suggested, with the combination behind it.
var boxLabel = regexp.MustCompile(`(?i)^(?:b\s*-?\s*)?(\d{1,4})(?: · .*)?$`)

// isLabel reports whether a typed label is that of an item.
func isLabel(typed string, item knowledge.BoxItem) bool {
	m := boxLabel.FindStringSubmatch(strings.TrimSpace(typed))
	return m != nil && strings.TrimLeft(m[1], "0") == strconv.Itoa(item.Number)
}

func takeOut(ctx context.Context, env *Env, call *Call) (Card, error) {
	typed := boxLabel.FindStringSubmatch(call.value(outOption))
	if typed == nil {
		return Card{}, refuse("It takes a label such as B-3.", "The option out cannot be %s.",
			echo(call.value(outOption)))
	}
	number, err := strconv.Atoi(typed[1])
	if err != nil {
		return Card{}, err // cannot be: the pattern takes up to four digits
	}
	all, err := env.Group.Box(ctx, 0)
	if err != nil {
		return Card{}, err
	}
	at := slices.IndexFunc(all, func(i knowledge.BoxItem) bool { return i.Number == number })
	if at < 0 {
		return Card{}, refuse("/"+boxName+" lists what waits.", "Nothing waits at B-%d.", number)
	}
	if all[at].Member.ID != call.by.ID && !call.Asker.Role.Covers(knowledge.TrainerRole) {
		return Card{}, refuse("The trainer can take it out, too.", "%s is %s's.", all[at].Label(), all[at].Member.Name)
	}
	item, err := env.Group.TakeOut(ctx, all[at].ID, call.by)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: item.Label() + " is out: " + item.Combination.String(),
		Verdict: "Nothing was logged of it; its label is free again."}
	c.Actions = []Action{toAsk("what waits", boxName)}
	return c, nil
}
