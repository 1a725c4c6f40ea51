package discord

import (
	"context"
	"time"

	"holdbench/internal/commands"
)

// What was stored and whose answer did not get through is confirmed in private. Where
// that fails too, it is kept in the store and stands in front of the next answer to the
// same member.

const (
	confirmLimit = time.Minute     // how long a confirmation in private may be on its way
	keepWithin   = 2 * time.Second // how long the store may take to keep it, while the program ends, too
)

// earlier takes out what the asker is about to be told, the earliest first.
func (t *turn) earlier(ctx context.Context) []commands.Stored {
	all, err := commands.TakeUnconfirmed(ctx, t.env, t.asker)
	if err != nil {
		t.bot.log.WarnContext(ctx, "what is not confirmed cannot be read", "community", t.server, "error",
			t.bot.loggable(err))
	}
	return all
}

// keep keeps what the asker has not been told.
func (t *turn) keep(ctx context.Context, all ...commands.Stored) {
	if len(all) == 0 {
		return
	}
	ctx, stop := context.WithTimeout(context.WithoutCancel(ctx), keepWithin)
	defer stop()
	if err := commands.KeepUnconfirmed(ctx, t.env, t.asker, all...); err != nil {
		t.bot.log.ErrorContext(ctx, "what was stored will not be confirmed", "community", t.server, "error",
			t.bot.loggable(err))
	}
}

// confirm tells in private what was stored where the answer did not get through. Where
// that fails, the member's next answer says it.
func (t *turn) confirm(ctx context.Context, m message) {
	t.keep(ctx, m.confirms...)
	if m.stored == nil {
		return
	}
	sending, stop := t.bot.sending(confirmLimit)
	defer stop()
	_, err := t.bot.say(sending, Unasked{
		Server: t.server, Member: t.ix.person.id, Card: commands.Confirmation(*m.stored), Key: "confirmation of " +
			t.ix.id,
	})
	if err != nil {
		t.keep(ctx, m.stored.Stored)
		t.bot.log.WarnContext(ctx, "what was stored is not confirmed yet; the member's next answer says it",
			"community", t.server, "interaction", t.ix.id, "error", t.bot.loggable(err))
	}
}
