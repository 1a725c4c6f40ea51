package discord

import (
	"context"
	"time"

	"holdbench/internal/commands"
)

// If something was stored but the answer did not get through, it is confirmed in private. If that fails too, the store
// keeps it, and the member's next answer confirms it.

const (
	confirmLimit = time.Minute     // how long sending a confirmation in private may take
	keepWithin   = 2 * time.Second // how long storing it may take, even while the program ends
)

// earlier takes what is to be confirmed to the asker out of the store, oldest first.
func (t *turn) earlier(ctx context.Context) []commands.Stored {
	all, err := commands.TakeUnconfirmed(ctx, t.env, t.asker)
	if err != nil {
		t.bot.log.WarnContext(ctx, "unconfirmed entries cannot be read", "community", t.server, "error",
			t.bot.loggable(err))
	}
	return all
}

// keep stores what has not been confirmed to the asker.
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

// confirm tells the asker in private what was stored, because the answer did not get through.
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
