package discord

import (
	"context"
	"time"

	"holdbench/internal/commands"
)

// emergencyWithin is how long it may take to find the group whose protocol is named:
// the direction does not wait for more.
const emergencyWithin = 700 * time.Millisecond

// emergency gives the direction in an emergency at once, before measures, queues and
// forms could turn the words away; false where the interaction tells of none. A press
// has no words but those of a request, which are looked at when it is asked.
func (t *turn) emergency(ctx context.Context) bool {
	var req commands.Request
	switch {
	case t.ix.kind == formInteraction:
		req = commands.Request{Filled: map[string]string{}}
		collect(t.ix.data.At("components").Items(), req.Filled)
	case t.ix.kind != commandInteraction:
		return false
	case t.ix.data.At("type").Whole() == postCommandType:
		req.Post = &commands.Post{Text: t.chosenPost().At("content").Text()}
	default:
		req = t.bot.request(t.ix.data)
	}
	m, is := t.directed(ctx, req)
	if is {
		t.command = t.bot.named(req.Command)
		t.respond(ctx, m)
	}
	return is
}

// directed is the direction in an emergency; false where the request tells of none.
func (t *turn) directed(ctx context.Context, req commands.Request) (message, bool) {
	req.Asker, req.Place = commands.Asker{Ref: t.ix.person.id}, t.ix.channel
	if !commands.TellsOfEmergency(t.words(), req) {
		return message{}, false
	}
	env := t.words()
	found := make(chan *commands.Env, 1)
	go func() {
		defer t.bot.recovered("finding the protocol", t.typed)
		found <- t.protocolGroup(ctx)
	}()
	select {
	case known := <-found:
		if known != nil {
			env = known
		}
	case <-time.After(emergencyWithin):
	}
	card, is := commands.Emergency(ctx, env, req)
	return t.bot.message(card, t.place(), ""), is
}

// protocolGroup is the group whose protocol may be named, nil where that cannot be
// told: the store may be gone, and whoever asks may belong to none, or to several.
func (t *turn) protocolGroup(ctx context.Context) *commands.Env {
	ctx, stop := context.WithTimeout(ctx, emergencyWithin)
	defer stop()
	server := t.ix.server
	if server == "" {
		servers, settled, err := t.bot.serversOf(ctx, t.ix.person.id, "")
		if err != nil || !settled {
			return nil
		}
		server = servers[0]
	}
	env, err := t.bot.env(ctx, server)
	if err != nil {
		t.bot.log.WarnContext(ctx, "the group of an emergency cannot be read",
			"community", server, "error", t.bot.loggable(err, t.typed()...))
		return nil
	}
	return env
}
