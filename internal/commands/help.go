package commands

import (
	"context"
	"slices"
	"strings"

	"holdbench/internal/knowledge"
)

const helpName = "holdbench help"

var helpCommand = &Command{
	Name:     helpName,
	Summary:  "What can be asked, and how",
	Help:     "Lists the commands; with the name of one, tells what it takes.",
	Free:     true,
	FreeHelp: "the name of a command",
	Who:      anyMember,
	Bearing:  Bearing{Bedside: true},
	Examples: []string{"/holdbench help", "/holdbench help log"},
	Run:      runHelp,
}

func runHelp(_ context.Context, _ *Env, call *Call) (Card, error) {
	name := strings.ToLower(strings.TrimPrefix(call.text, "/"))
	if name == "" {
		return overviewCard(call.all), nil
	}
	cmd := find(call.all, name)
	if cmd == nil {
		return Card{}, refuse("/holdbench help alone lists them.", "There is no command %s.", echo("/"+name))
	}
	return commandCard(cmd), nil
}

// defending are the commands that answer "how do you know?". They stand in one
// paragraph of the overview, which has no room for a line each.
func defending() []string {
	return []string{whyName, negativeName, coverageName, testersName, spreadName, methodName}
}

func overviewCard(catalogue []*Command) Card {
	c := Card{Title: "What can be asked"}
	c.line("A question, as you would ask a colleague: %s", holdCommand.Examples[0])
	var trainers, defend []string
	for _, cmd := range catalogue {
		switch {
		case slices.Contains(defending(), cmd.Name):
			defend = append(defend, "/"+cmd.Name+": "+cmd.Summary)
		case cmd.Who == knowledge.TrainerRole:
			trainers = append(trainers, "/"+cmd.Name)
		default:
			c.fact("/"+cmd.Name, "%s", cmd.Summary)
		}
	}
	c.fact("How do you know?", "%s", strings.Join(defend, ". "))
	c.fact("For the trainer", "%s; /%s and a name tells more of any", strings.Join(trainers, ", "), helpName)
	return c
}

func commandCard(cmd *Command) Card {
	c := Card{Title: "/" + cmd.Name, Verdict: cmd.Help}
	if cmd.Free {
		c.fact("text", "%s", cmd.FreeHelp)
	}
	for _, o := range cmd.Options {
		c.fact(o.Name, "%s", optionWords(o))
	}
	for _, example := range cmd.Examples {
		c.fact("Example", "%s", example)
	}
	return c
}

// optionWords says what an option takes.
func optionWords(o Option) string {
	text := o.Help
	switch o.Kind {
	case Number:
		text += ", " + trimNumber(o.Min) + " to " + trimNumber(o.Max) + " " + o.Unit
	case Whole:
		text += ", " + trimNumber(o.Min) + " to " + trimNumber(o.Max)
	case Date:
		text += ", as in 2026-05-14, today or yesterday"
	}
	if len(o.Choices) > 0 {
		text += ": " + listWords(o.Choices)
	}
	if o.Required {
		text += " (needed)"
	}
	return text
}
