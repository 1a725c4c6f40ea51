package discord

import (
	"context"
	"sync"
	"time"

	"holdbench/internal/commands"
)

// sourceLimit is how long the message that something was logged from may take to be
// edited: the next one logged edits it anyway.
const sourceLimit = 20 * time.Second

// sources are the messages that wait to be edited, each once: it shows then what is known
// when its turn comes. One is edited at a time, so that a later count is not overwritten
// by an earlier one.
type sources struct {
	mu      sync.Mutex
	waiting map[string]bool
	turn    sync.Mutex
}

// enter waits for the turn of a message; false where it waits already. leave ends it.
func (s *sources) enter(id string) bool {
	s.mu.Lock()
	if s.waiting == nil {
		s.waiting = map[string]bool{}
	}
	if s.waiting[id] {
		s.mu.Unlock()
		return false
	}
	s.waiting[id] = true
	s.mu.Unlock()
	s.turn.Lock()
	s.mu.Lock()
	delete(s.waiting, id)
	s.mu.Unlock()
	return true
}

func (s *sources) leave() { s.turn.Unlock() }

// refresh asks anew what the message shows that was pressed on, and edits it: where all
// see it, and it is one of the bot's own.
func (t *turn) refresh(ctx context.Context, req *commands.Request) {
	id, me := t.ix.source.At("id").Text(), t.bot.self.Load()
	hidden := t.ix.source.At("flags").Whole()&flagHidden != 0
	if req == nil || t.env == nil || me == nil || id == "" || hidden ||
		t.ix.source.At("author").At("id").Text() != me.user ||
		!t.bot.sources.enter(id) {
		return
	}
	defer t.bot.sources.leave()
	card := t.bot.answer(ctx, t.env, t.signed(*req))
	if card.Refused || card.Failed {
		return
	}
	m := t.bot.message(card, place{server: t.server, direct: t.ix.server == "", bytes: int(t.ix.bytes)}, "")
	sending, stop := t.bot.sending(sourceLimit)
	defer stop()
	err := t.bot.client.Edit(sending, t.ix.channel, id, m, parts(m.files))
	if m.refusesFiles(err) {
		err = t.bot.client.Edit(sending, t.ix.channel, id, m.inWords(), nil)
	}
	if err != nil {
		t.bot.log.WarnContext(ctx, "a message could not be brought up to date", "command", t.command, "community",
			t.server,
			"error", t.bot.loggable(err))
	}
}
