package discord

import (
	"context"

	"holdbench/internal/commands"
)

// Whoever is in several groups reads in a direct message which of them answers, and may
// have another one answer from now on.

const (
	anotherGroup = "another group" // on the button that lists the others, where there are several
	switchOnly   = "switch"        // in place of a command: nothing is asked of the group that answers now
)

// groupFact says which group answers, where it could be another one.
func (t *turn) groupFact(ctx context.Context, card commands.Card) commands.Card {
	if len(t.others) > 0 && !card.Urgent {
		name := commands.Fact{Label: "Group", Text: t.bot.title(ctx, t.server)}
		card.Facts = append([]commands.Fact{name}, card.Facts...)
	}
	return card
}

// groupButton has another group answer. What only asks is asked there again; what
// changes a log is not done in another one by the way.
func (t *turn) groupButton(ctx context.Context, card commands.Card, req commands.Request) []component {
	if len(t.others) == 0 || card.Urgent {
		return nil
	}
	if cmd := t.bot.commands[req.Command]; cmd == nil || !cmd.Shared {
		req = commands.Request{Command: switchOnly}
	}
	if len(t.others) > 1 {
		id := string(groupKind) + t.bot.carry(place{direct: true}, req, maxCustomID-1)
		return []component{button(anotherGroup, id)}
	}
	id := string(groupKind) + t.bot.carry(place{direct: true, server: t.others[0]}, req, maxCustomID-1)
	return []component{button("ask "+t.bot.title(ctx, t.others[0]), id)}
}

// remember notes that the asker has chosen this group. Whoever is on no list of its is
// remembered while the program runs.
func (t *turn) remember(ctx context.Context) {
	t.bot.chosen.Put(t.ix.person.id, t.server)
	if err := t.bot.communities.AnswerDirect(ctx, t.ix.person.id, t.server); err != nil {
		t.bot.log.WarnContext(ctx, "which group answers in direct messages is not stored", "community", t.server,
			"error",
			t.bot.loggable(err))
	}
}
