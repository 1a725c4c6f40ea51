package discord

import (
	"context"
	"slices"
	"sync"
	"time"

	"holdbench/internal/cache"
	"holdbench/internal/commands"
)

// What was stored and whose answer did not get through is confirmed in private. Where
// that fails too, it stands in front of the next answer to the same member. It is kept
// in memory alone: after a restart a member who logs a result again is asked whether it
// is another one.

// unconfirmedFor is how long it is kept: a bench day is over then.
const unconfirmedFor = 24 * time.Hour

// confirmLimit is how long a confirmation in private may be on its way.
const confirmLimit = time.Minute

// unconfirmed is what was stored and not confirmed yet, by server and member.
type unconfirmed struct {
	mu   sync.Mutex
	kept *cache.Cache[string, []commands.Stored]
}

func newUnconfirmed() *unconfirmed {
	return &unconfirmed{kept: cache.Counted[string, []commands.Stored](mostKept, unconfirmedFor, time.Now)}
}

// add keeps what a member has not been told.
func (u *unconfirmed) add(member string, more ...commands.Stored) {
	u.mu.Lock()
	defer u.mu.Unlock()
	all, _ := u.kept.Get(member)
	u.kept.Put(member, append(slices.Clip(all), more...))
}

// take takes out what a member is about to be told, the earliest first.
func (u *unconfirmed) take(member string) []commands.Stored {
	u.mu.Lock()
	defer u.mu.Unlock()
	all, _ := u.kept.Take(member)
	return all
}

// asking is who asks, and in which group.
func (t *turn) asking() string { return t.server + "/" + t.ix.person.id }

// confirm tells in private what was stored where the answer did not get through. Where
// that fails, the member's next answer says it.
func (t *turn) confirm(ctx context.Context, m message) {
	t.bot.unconfirmed.add(t.asking(), m.confirms...)
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
		t.bot.unconfirmed.add(t.asking(), m.stored.Stored)
		t.bot.log.WarnContext(ctx, "what was stored is not confirmed yet; the member's next answer says it",
			"community", t.server, "interaction", t.ix.id, "error", t.bot.loggable(err))
	}
}
