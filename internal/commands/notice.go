package commands

import (
	"context"
	"fmt"
	"math"
	"time"
)

// Cards that a surface needs and that no command answers with. They get errors and caveats as in Answer.

// notice is such a card, or that of an error.
func notice(ctx context.Context, env *Env, card Card, err error) Card {
	if err != nil {
		card = errorCard(ctx, env.faults(), nil, err, Request{})
	}
	return complete(Bearing{Bedside: true}, card)
}

// Stale is for a button or a list whose question is no longer known. command is its command, "" where that is not known
// either; a form of the command is offered.
func Stale(ctx context.Context, env *Env, command string) Card {
	hint, cmd := "Please ask again.", find(catalogue, command)
	if cmd != nil {
		hint = "Please ask again with /" + cmd.Name + "."
	}
	c := notice(ctx, env, Card{}, refuse("It was too long ago, or the bot has been restarted since. "+hint,
		"What this button asks for is no longer known here."))
	if again := (Request{Command: command}); WantsForm(again) {
		c.Actions = []Action{{Label: "open the form", Request: again, Tap: true}}
	}
	return c
}

// Busy is for a question that comes while too many others are being answered.
func Busy(ctx context.Context, env *Env) Card {
	return notice(ctx, env, Card{}, refuse("Please ask again in a moment.", "Too many questions at once."))
}

// Slowly is for a question that comes too soon after many others, of the asker's or of the whole group's. wait is how
// long until it may be asked again.
func Slowly(ctx context.Context, env *Env, wait time.Duration, group bool) Card {
	problem := "That was a lot at once."
	if group {
		problem = "Your group is asking a lot just now."
	}
	return notice(ctx, env, Card{}, refuse(fmt.Sprintf("Please ask again in %s. Nothing was stored.",
		count(int(math.Ceil(wait.Seconds())), "second")), "%s", problem))
}

// Ending is for what is asked while the program ends.
func Ending(ctx context.Context, env *Env) Card {
	return notice(ctx, env, Card{}, refuse("Nothing was stored. Please ask again in a minute.",
		"The bot is being restarted."))
}

// NotTaken is for a request that was not acknowledged to the platform in time: nothing was done.
func NotTaken(ctx context.Context, env *Env) Card {
	return notice(ctx, env, Card{}, refuse("Nothing was stored. Please ask again.",
		"The answer could not be given in time."))
}

// InPrivate is for a private matter that was asked where others would read the answer.
func InPrivate(ctx context.Context, env *Env, command string) Card {
	return notice(ctx, env, Card{}, refuse("Type /"+command+" and pick it from the menu, or ask in a direct message.",
		"That answer is for you alone, and everybody can read here."))
}

// Broken is for a fault of the surface itself; the log has more under the reference.
func Broken(ctx context.Context, env *Env, err error) Card {
	return notice(ctx, env, Card{}, err)
}

// NoServer is for somebody who asks in private and belongs to no group.
func NoServer(ctx context.Context, env *Env) Card {
	return notice(ctx, env, Card{}, refuse("Ask in your group's server, or join it first.",
		"You are in no server that I am in."))
}

// WhichGroup asks somebody who belongs to several groups, and asks in private, which one is meant. Every choice asks
// the same again; the surface decides where.
func WhichGroup(ctx context.Context, env *Env, names []string, req Request) Card {
	c := Card{Title: "Which group's log?"}
	for _, name := range names {
		c.Choices = append(c.Choices, Choice{Label: name, Request: req})
	}
	return notice(ctx, env, c, nil)
}

// Switched is for somebody in several groups who has chosen another one to answer in private.
func Switched(ctx context.Context, env *Env, name string) Card {
	c := Card{Title: name + " answers here from now on."}
	c.line("What was stored before stays in the other group's log.")
	return notice(ctx, env, c, nil)
}
