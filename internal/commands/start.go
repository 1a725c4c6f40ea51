package commands

import (
	"context"
	"fmt"
)

const welcomeName = "holdbench start"

var welcomeCommand = &Command{
	Name:     welcomeName,
	Summary:  "The three things to do first",
	Help:     "What a group does once, before it can ask and log: trainers, gels, a first test.",
	Who:      anyMember,
	Examples: []string{"/holdbench start"},
	Run:      runWelcome,
}

func runWelcome(ctx context.Context, env *Env, _ *Call) (Card, error) {
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "Holdbench is in " + settings.Name, Verdict: "Three things to do first:"}
	c.fact("1", "Say who the trainers are and how long a hold may be: /%s. Until then whoever manages the server is a trainer, and the ceiling is %s.",
		settingsName, exactSeconds(float64(settings.Ceiling)))
	c.fact("2", "Put the group's gels on the list: %s", addProductCommand.Examples[0])
	c.fact("3", "Log a first bench test with /%s, and ask with /%s. Answers are for the asker alone until they are shown to the channel.", logName, holdName)
	c.line("%s", keptWords(settings.KeepDays))
	return c, nil
}

// keptWords says what becomes of the log when the group parts with the tool.
func keptWords(days int) string {
	return fmt.Sprintf("After leaving the server the log is kept for %s, then erased. Nothing about patients is ever kept.", count(days, "day"))
}

// Welcome is the card for whoever brought the tool to a new group.
func Welcome(ctx context.Context, env *Env) Card {
	return Answer(ctx, env, Request{Command: welcomeName, Asker: Asker{Role: anyMember}})
}
