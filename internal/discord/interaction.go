package discord

import (
	"context"
	"encoding/json"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// Kinds of interactions and of commands (interactions/receiving-and-responding).
const (
	commandInteraction      = 2
	componentInteraction    = 3
	autocompleteInteraction = 4
	formInteraction         = 5

	chatCommandType = 1
	postCommandType = 3
)

// interaction is one use of a command, a button, a list or a form.
type interaction struct {
	id, token, app string
	kind           int64
	server         string // "" in a direct message
	channel        string
	person         person
	bytes          int64 // the largest file that an answer may have; 0 if Discord does not say
	data           api.Node
	source         api.Node // the message of the button or list
}

func readInteraction(raw json.RawMessage) interaction {
	n := api.Read(raw)
	return interaction{
		id: n.At("id").Text(), token: n.At("token").Text(), app: n.At("application_id").Text(),
		kind: n.At("type").Whole(), server: n.At("guild_id").Text(), channel: n.At("channel_id").Text(),
		person: readPerson(n), bytes: n.At("attachment_size_limit").Whole(), data: n.At("data"),
		source: n.At("message"),
	}
}

// tooQuick tells a member who asks too much at once to wait. Suggestions have limits of their own. A filled-in form was
// counted when it was opened, and is not thrown away.
func (t *turn) tooQuick(ctx context.Context) bool {
	if t.ix.kind == autocompleteInteraction || t.ix.kind == formInteraction {
		return false
	}
	p := t.bot.limits.Ask(t.ix.server, t.ix.person.id)
	if !p.OK {
		t.respond(ctx, t.bot.message(commands.Slowly(ctx, t.words(), p.Wait, p.Group), t.place(), ""))
	}
	return !p.OK
}

// interact answers an interaction. Discord may deliver it twice: the second one is ignored, unless the first was not
// answered.
func (b *Bot) interact(raw json.RawMessage, received time.Time) {
	ix := readInteraction(raw)
	if ix.id == "" || ix.token == "" || ix.person.id == "" {
		b.log.Warn("an interaction that cannot be read")
		return
	}
	if !b.seen.Add(ix.id, struct{}{}) {
		return
	}
	t := &turn{bot: b, ix: ix, received: received}
	ctx, stop := context.WithTimeout(b.life, tokenLife)
	defer stop()
	defer func() {
		if !t.done && !t.deferred {
			b.seen.Take(ix.id)
		}
	}()
	defer t.rescue(ctx)
	if t.emergency(ctx) || t.tooQuick(ctx) {
		return
	}
	switch {
	case b.ending.Load() && ix.kind != autocompleteInteraction:
		t.respond(ctx, t.ended(ctx))
	case ix.kind == autocompleteInteraction:
		t.autocomplete(ctx)
	case ix.kind == commandInteraction && ix.data.At("type").Whole() == postCommandType:
		t.postCommand(ctx)
	case ix.kind == commandInteraction:
		t.chatCommand(ctx)
	case ix.kind == componentInteraction:
		t.componentUsed(ctx)
	case ix.kind == formInteraction:
		t.submit(ctx)
	default:
		b.log.Info("an interaction of a kind that is not known", "kind", ix.kind)
	}
}
