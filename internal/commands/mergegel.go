package commands

import (
	"context"
	"strings"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	mergeName  = "trainer gels merge"
	intoOption = "into"
)

var mergeCommand = &Command{
	Name:    mergeName,
	Summary: "Merge a gel into another that it turned out to be: its tests, stock and names follow (trainer)",
	Help: "For one gel that is on the list twice. The one that stays keeps its class, and its answers are " +
		"recalculated. It shows first what will move, and asks. The history keeps who did it, why, and which tests " +
		"moved; it can be undone for an hour.",
	Options: []Option{
		{Name: productOption, Help: "the gel that goes", Suggest: suggestProducts, Required: true},
		{Name: intoOption, Help: "the gel that stays", Suggest: suggestProducts, Required: true},
		{Name: reasonOption, Help: "why; kept with the gel", Required: true, Kept: true},
		sure(),
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer gels merge product:"Orrick Mid" into:"Orrick Firm" reason:"one gel in two boxes"`},
	Run:      runMerge,
}

func runMerge(ctx context.Context, env *Env, call *Call) (Card, error) {
	goes, err := call.exactProduct(productOption)
	if err != nil {
		return Card{}, err
	}
	stays, err := call.exactProduct(intoOption)
	if err != nil {
		return Card{}, err
	}
	if !call.yes(sureOption) {
		return askToMerge(ctx, env, call, goes, stays)
	}
	left, err := env.Group.MergeProducts(ctx, goes.ID, stays.ID, call.by, call.value(reasonOption))
	if err != nil {
		return Card{}, err
	}
	tested, err := env.Group.Tested(ctx)
	if err != nil {
		return Card{}, err
	}
	tests, combinations := 0, 0
	for _, t := range tested {
		if t.Combination.Product.ID == left.ID {
			tests, combinations = tests+t.Tests, combinations+1
		}
	}
	c := Card{Title: left.Name, Verdict: goes.Name + " is part of it now."}
	c.fact("Class", "%s", left.Class)
	c.fact("Also called", "%s", strings.Join(left.Aliases, ", "))
	c.fact("The group's tests of it", "%s of %s", count(tests, "test"), count(combinations, "combination"))
	c.Actions = []Action{toAsk("its history", historyName).with(productOption, left.Name)}
	return offerUndo(ctx, env, call, c), nil
}

// askToMerge shows what will move, and asks.
func askToMerge(ctx context.Context, env *Env, call *Call, goes, stays trade.Product) (Card, error) {
	plan, err := env.Group.PlanMerge(ctx, goes.ID, stays.ID)
	if err != nil {
		return Card{}, err
	}
	if plan.Goes.ID == plan.Stays.ID {
		return Card{}, refuse("Name two.", "%s and %s are one gel already.", echo(call.value(productOption)),
			echo(call.value(intoOption)))
	}
	c := Card{Title: "Merge " + goes.Name + " into " + stays.Name + "?"}
	c.fact("Moves", "%s; %s in stock; %s taken on; %s put aside; its names", count(plan.Tests, "test"),
		count(plan.Stock, "item"), count(plan.Claims, "combination"), count(plan.Box, "syringe"))
	if goes.Class != stays.Class {
		c.warn("The classes differ: %s is %s, %s is %s. Its tests will count as those of %s.", goes.Name, goes.Class,
			stays.Name, stays.Class, stays.Class)
	}
	c.line("Nothing moves until you say yes. It can be undone for an hour.")
	c.Choices = []Choice{{Label: "yes, merge them", Request: call.with(sureOption, "yes")}}
	return c, nil
}

// exactProduct is the gel whose name or alias an option gives in full. A name that is only near is refused: after an
// hour a merger by a typing slip can no longer be undone.
func (c *Call) exactProduct(option string) (trade.Product, error) {
	product, listed := c.lists.Product(c.value(option))
	if !listed {
		return product, noSuchGel(c.value(option))
	}
	return product, nil
}

func noSuchGel(name string) error {
	return refuse("/"+productsName+" lists them; write it in full.", "The group has no gel called %s.", echo(name))
}
