package commands

import (
	"context"
	"strings"

	"holdbench/internal/knowledge"
)

const helpName = "holdbench help"

var helpCommand = &Command{
	Name:     helpName,
	Summary:  "What can be asked, and how",
	Help:     "Lists the commands. With the name of one, says what it takes.",
	Free:     true,
	FreeHelp: "the name of a command, or all",
	Who:      anyMember,
	Quick:    true,
	Bearing:  Bearing{Bedside: true},
	Alone:    true,
	Examples: []string{"/holdbench help", "/holdbench help all", "/holdbench help log"},
	Run:      runHelp,
}

func runHelp(_ context.Context, _ *Env, call *Call) (Card, error) {
	name := strings.ToLower(strings.TrimPrefix(call.text, "/"))
	switch name {
	case "":
		return overviewCard(), nil
	case helpAll:
		return allCard(call.all, call.Asker.Role.Covers(knowledge.TrainerRole)), nil
	}
	cmd := find(call.all, name)
	if cmd == nil {
		return Card{}, refuse("/holdbench help alone lists them.", "There is no command %s.", echo("/"+name))
	}
	return commandCard(cmd), nil
}

// daily are the everyday commands, which the first screen of the help shows.
func daily() []*Command {
	return []*Command{holdCommand, logCommand, mineCommand, benchCommand, untestedCommand}
}

// overviewCard is one screen: what to type, the everyday commands, the way to the rest.
func overviewCard() Card {
	c := Card{Title: "Ask as you would ask a colleague:", Verdict: holdCommand.Examples[0]}
	for _, cmd := range daily() {
		c.fact("/"+cmd.Name, "%s", cmd.Short)
	}
	c.line("Then ask on: “why”, “the picture”, “and on 30G?”, “log 6.2”.")
	c.Actions = []Action{
		{Label: "all commands", Request: Request{Command: helpName, Text: helpAll}},
		{Label: "how the figures are made", Request: Request{Command: methodName}, Tap: true},
	}
	return c
}

// helpAll is the text that asks for every command.
const helpAll = "all"

// allCard lists every command, topic by topic.
func allCard(all []*Command, trainer bool) Card {
	c := Card{Title: "All commands", Verdict: "/" + helpName + " and a name tells more about it."}
	for _, topic := range menu {
		var names []string
		for _, cmd := range all {
			if word, rest, _ := strings.Cut(cmd.Name, " "); word == topic.Name && rest != "" &&
				(trainer || !ForTrainers(cmd)) {
				names = append(names, rest)
			}
		}
		switch {
		case len(names) > 0:
			c.fact("/"+topic.Name, "%s", strings.Join(names, ", "))
		case find(all, topic.Name) != nil:
			c.fact("/"+topic.Name, "%s", topic.Summary)
		}
	}
	return c
}

func commandCard(cmd *Command) Card {
	c := Card{Title: "/" + cmd.Name, Verdict: cmd.Help}
	if cmd.Free {
		c.fact("text", "%s", cmd.FreeHelp)
	}
	for _, o := range cmd.Options {
		if !o.Unlisted {
			c.fact(o.Name, "%s", optionWords(o))
		}
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
