package discord

import (
	"context"
	"encoding/json"
	"strings"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// chatLimit is how long the answer to a message may take.
const chatLimit = 3 * time.Minute

// hear answers a message that mentions the bot, or that was sent to it alone.
// Others are not answered, and what they say is not known here: Discord leaves
// it out.
func (b *Bot) hear(raw json.RawMessage) {
	n := api.Read(raw)
	me := b.self.Load()
	if me == nil || n.At("author").At("bot").Yes() || n.At("author").At("id").Text() == me.user || n.At("webhook_id").There() {
		return
	}
	server, text := n.At("guild_id").Text(), n.At("content").Text()
	if server != "" && !mentions(text, me.user) {
		return
	}
	id, channel := n.At("id").Text(), n.At("channel_id").Text()
	if id == "" || channel == "" || !b.seen.Add(id, struct{}{}) {
		return
	}
	ctx, stop := context.WithTimeout(b.life, chatLimit)
	defer stop()
	req, heard := asked(without(text, me.user)), time.Now()
	m := message{outcome: Failed}
	defer func() { b.observe(b.named(req.Command), m.outcome, heard) }()
	t := &turn{bot: b, ix: interaction{id: id, server: server, channel: channel, person: readPerson(n)}, showing: openly, said: text}
	if said, is := t.directed(ctx, req); is {
		m = said
		b.reply(ctx, &m, server, channel, id)
		return
	}
	if p := b.limits.Ask(server, t.ix.person.id); !p.OK {
		m.outcome = Refused
		if !p.First {
			return // told already: a reply to each would be a flood of our own
		}
		m = b.message(commands.Slowly(ctx, t.words(), p), t.place(), "")
		b.reply(ctx, &m, server, channel, id)
		return
	}
	leave, err := b.answerWork.enter(ctx, t.community())
	if err != nil {
		b.log.WarnContext(ctx, "a message was not answered", "community", server, "message", id, "error", err)
		return
	}
	m = t.chat(ctx, req)
	leave()
	b.reply(ctx, &m, server, channel, id)
}

// reply answers a message with another.
func (b *Bot) reply(ctx context.Context, m *message, server, channel, id string) {
	if _, err := b.post(ctx, channel, m.replyTo(id)); err != nil {
		m.outcome = Failed
		b.log.WarnContext(ctx, "a reply did not get through", "community", server, "message", id, "error", err)
	}
}

// asked is what a message asks for; one without words asks what there is.
func asked(text string) commands.Request {
	if text == "" {
		text = "/help"
	}
	return commands.Typed(text, commands.Asker{})
}

// chat is the reply to what somebody wrote.
func (t *turn) chat(ctx context.Context, req commands.Request) (m message) {
	defer func() {
		if r := recover(); r != nil {
			m = t.broken(ctx, commands.Panicked(r))
		}
	}()
	if cmd := t.bot.commands[req.Command]; cmd != nil && cmd.Private && t.ix.server != "" {
		return t.bot.message(commands.InPrivate(ctx, t.words(), cmd.Name), t.place(), "")
	}
	return t.ask(ctx, req)
}

// forms are the ways a mention is written. A reply to the bot notifies it too,
// but is meant for it only if it says so.
func forms(me string) []string { return []string{"<@" + me + ">", "<@!" + me + ">"} }

func mentions(text, me string) bool {
	for _, form := range forms(me) {
		if strings.Contains(text, form) {
			return true
		}
	}
	return false
}

// without is a text without the bot's own mentions.
func without(text, me string) string {
	for _, form := range forms(me) {
		text = strings.ReplaceAll(text, form, " ")
	}
	return strings.Join(strings.Fields(text), " ")
}
