package discord

import (
	"context"
	"sync"
	"time"

	"holdbench/internal/commands"
)

// sourceLimit is how long editing the message that was pressed on may take. If it takes longer, the next press edits
// it.
const sourceLimit = 20 * time.Second

// sources are the messages that wait to be edited, each of them once: its new content is made when its turn comes.
// One is edited at a time, so that an earlier count does not overwrite a later one.
type sources struct {
	mu      sync.Mutex
	waiting map[string]bool
	turn    sync.Mutex
}

// enter waits for a message's turn, which leave ends. It returns false if the message is waiting already.
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

// refresh makes the content of the message that was pressed on anew, and edits it, if it is one of the bot's own and
// everybody can see it.
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
	if err := t.bot.rewrite(sending, t.ix.channel, id, m); err != nil {
		t.bot.log.WarnContext(ctx, "a message could not be brought up to date", "command", t.command,
			"community", t.server, "error", t.bot.loggable(err))
	}
}
