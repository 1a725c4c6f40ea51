package discord

import (
	"context"

	"holdbench/internal/commands"
)

// A member of several groups reads in a direct message which of them answers, and can choose another.

const (
	anotherGroup = "another group" // the button that lists the other groups, if there are several
	switchOnly   = "switch"        // stands for a command where another group is chosen but nothing is asked
)

// groupFact adds which group answers, if it could be another.
func (t *turn) groupFact(ctx context.Context, card commands.Card) commands.Card {
	if len(t.others) > 0 && !card.Urgent {
		name := commands.Fact{Label: "Group", Text: t.bot.title(ctx, t.server)}
		card.Facts = append([]commands.Fact{name}, card.Facts...)
	}
	return card
}

// groupButton is the button that chooses another group. A question is asked there again; a change of a log is not
// made in the other log, too.
func (t *turn) groupButton(ctx context.Context, card commands.Card, req commands.Request) []component {
	if len(t.others) == 0 || card.Urgent {
		return nil
	}
	if cmd := t.bot.commands[req.Command]; cmd == nil || !cmd.Shared {
		req = commands.Request{Command: switchOnly}
	}
	if len(t.others) > 1 {
		return []component{button(anotherGroup, t.bot.customID(groupKind, place{direct: true}, req))}
	}
	id := t.bot.customID(groupKind, place{direct: true, server: t.others[0]}, req)
	return []component{button("ask "+t.bot.title(ctx, t.others[0]), id)}
}

// remember stores that the asker has chosen this group. For somebody who is not on its list of members, that is kept
// until the program ends.
func (t *turn) remember(ctx context.Context) {
	t.bot.chosen.Put(t.ix.person.id, t.server)
	if err := t.bot.communities.AnswerDirect(ctx, t.ix.person.id, t.server); err != nil {
		t.bot.log.WarnContext(ctx, "the group chosen for direct messages could not be stored", "community", t.server,
			"error", t.bot.loggable(err))
	}
}
