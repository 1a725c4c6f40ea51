package commands

import (
	"cmp"
	"context"
	"errors"
	"strconv"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	className     = "trainer class"
	inClassOption = "class"
	endOption     = "end"
)

var classCommand = &Command{
	Name:    className,
	Summary: "Open one combination for everybody in a channel to test for an hour (trainer)",
	Help: "All log the same set-up by one button; the message shows how many tests there are, and at the end how " +
		"far apart they are, without names. Show the answer in the channel for all to use. Its tests count like any " +
		"other.",
	Free:     true,
	FreeHelp: "the combination, as in: orrick mid 30G 13 mm",
	Options: combinationOptions(
		pullNumber("how far the plunger is drawn, if not 0.1 mL", trade.LargestTestedPullML),
		liquidChoice(), temperatureNumber(),
		Option{Name: endOption, Help: "yes closes this channel's class now", Kind: YesNo},
		classNumber(),
	),
	Who:      knowledge.TrainerRole,
	Shared:   true,
	Bearing:  Bearing{Bench: true},
	Examples: []string{"/trainer class orrick mid 30G 13 mm", "/trainer class end:yes"},
	Run:      runClass,
}

// classNumber names a class other than the channel's latest. Buttons set it.
func classNumber() Option {
	return Option{Name: inClassOption, Help: "the class's number, if not the latest of this channel", Kind: Whole,
		Min: 1, Max: 1e9}
}

func runClass(ctx context.Context, env *Env, call *Call) (Card, error) {
	if call.yes(endOption) {
		return endClass(ctx, env, call)
	}
	a, err := readQuestion(env, call)
	if err != nil {
		return Card{}, err
	}
	class := knowledge.Class{Combination: a.combination, PullML: cmp.Or(a.pullML, usualPullML),
		Liquid: cmp.Or(trade.Tidy(call.value("liquid")), usualLiquid), LiquidC: usualLiquidC, Channel: call.Place}
	if celsius, given := call.number("temperature"); given {
		class.LiquidC = celsius
	}
	opened, err := env.Group.OpenClass(ctx, class)
	if errors.Is(err, knowledge.ErrClassOpen) {
		there, err := env.Group.ClassIn(ctx, call.Place)
		if err != nil {
			return Card{}, err
		}
		return Card{}, refuse("End it first: /"+className+" end:yes.", "A class on %s is open here.",
			stockWords(there.Combination))
	}
	if err != nil {
		return Card{}, err
	}
	return classShown(ctx, env, call, opened)
}

// endClass closes a class. The message whose button ended it then shows what the class found.
func endClass(ctx context.Context, env *Env, call *Call) (Card, error) {
	class, err := classAsked(ctx, env, call.Request)
	if err != nil {
		return Card{}, err
	}
	if class, err = env.Group.EndClass(ctx, class.ID); err != nil {
		return Card{}, err
	}
	c, err := classShown(ctx, env, call, class)
	c.Source = classRequest(class)
	return c, err
}

// classAsked is the class that a request names, else the latest of its channel.
func classAsked(ctx context.Context, env *Env, req Request) (class knowledge.Class, err error) {
	if number, none := strconv.ParseInt(req.value(inClassOption), 10, 64); none == nil {
		class, err = env.Group.Class(ctx, number)
	} else {
		class, err = env.Group.ClassIn(ctx, req.Place)
	}
	return class, told(err, knowledge.ErrNotFound, "A trainer opens one: /"+className+" orrick mid 30G 13 mm.",
		"There is no class here.")
}

// classRequest asks for the present state of a class.
func classRequest(class knowledge.Class) *Request {
	return &Request{Command: classLogName, Values: map[string]string{inClassOption: strconv.FormatInt(class.ID, 10)}}
}
