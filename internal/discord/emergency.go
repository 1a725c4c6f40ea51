package discord

import (
	"context"
	"time"

	"holdbench/internal/commands"
)

// emergencyWithin is how long to look for the group whose protocol is named. After that the direction is given without
// it.
const emergencyWithin = 700 * time.Millisecond

// emergency answers an emergency at once, before limits, queues or forms could turn it away. It returns false if the
// interaction tells of none. The words of a button's request are checked when the request is answered.
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

// directed is the direction for an emergency; false if the request tells of none.
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

// protocolGroup is the group whose protocol can be named. It is nil if the asker belongs to none or several, or if the
// store does not answer.
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
