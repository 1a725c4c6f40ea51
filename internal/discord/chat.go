package discord

import (
	"context"
	"encoding/json"
	"strings"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
	"holdbench/internal/fault"
)

// chatLimit is how long the answer to a message may take.
const chatLimit = 3 * time.Minute

// messageCreated answers a message that mentions the bot, or a direct message. Of other messages Discord does not send
// the text.
func (b *Bot) messageCreated(raw json.RawMessage) {
	n := api.Read(raw)
	me := b.self.Load()
	if me == nil || n.At("author").At("bot").Yes() || n.At("author").At("id").Text() == me.user ||
		n.At("webhook_id").There() {
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
	req := asked(b.languages.english(without(text, me.user)))
	t := &turn{
		bot: b, ix: interaction{id: id, server: server, channel: channel, person: readPerson(n)},
		received: time.Now(), showing: openly, said: text, command: b.named(req.Command),
	}
	m, say := t.reply(ctx, req)
	if say && !t.post(ctx, m) {
		m.outcome = Failed
	}
	b.observe(t.command, m.outcome, t.received)
}

// reply returns the answer to a message; false for none.
func (t *turn) reply(ctx context.Context, req commands.Request) (message, bool) {
	if directed, is := t.directed(ctx, req); is {
		return directed, true
	}
	if t.bot.ending.Load() {
		return t.ended(ctx), true
	}
	if p := t.bot.limits.Ask(t.ix.server, t.ix.person.id); !p.OK {
		// Only the first message over the limit is answered: a reply to each would be a flood itself.
		return t.bot.message(commands.Slowly(ctx, t.words(), p.Wait, p.Group), t.place(), ""), p.First
	}
	leave, err := t.bot.answerWork.enter(ctx, t.community())
	switch {
	case err != nil && t.bot.ending.Load():
		return t.ended(ctx), true
	case err != nil:
		t.bot.log.WarnContext(ctx, "a message was not answered", "community", t.ix.server, "message", t.ix.id, "error",
			err)
		return message{outcome: Failed}, false
	}
	defer leave()
	return t.chat(ctx, req), true
}

// post posts the reply to a message; false if it did not get through.
func (t *turn) post(ctx context.Context, m message) bool {
	sending, stop := t.bot.sending(postLimit)
	defer stop()
	if _, err := t.bot.post(sending, t.ix.channel, m.replyTo(t.ix.id)); err != nil {
		t.bot.log.WarnContext(ctx, "a reply did not get through", "community", t.ix.server, "message", t.ix.id, "error",
			err)
		t.confirm(ctx, m)
		return false
	}
	return true
}

// asked is what a message asks for: help, if it has no words.
func asked(text string) commands.Request {
	if text == "" {
		text = "/holdbench help"
	}
	return commands.Typed(text, commands.Asker{})
}

// chat answers a message that has got its turn.
func (t *turn) chat(ctx context.Context, req commands.Request) (m message) {
	defer func() {
		if r := recover(); r != nil {
			m = t.broken(ctx, fault.Panicked(r))
		}
	}()
	if cmd := t.bot.commands[req.Command]; cmd != nil && cmd.Private && t.ix.server != "" {
		return t.bot.message(commands.InPrivate(ctx, t.words(), cmd.Name), t.place(), "")
	}
	return t.ask(ctx, req)
}

// forms are the ways to write a mention. A reply to the bot without one is not meant for it.
func forms(me string) []string { return []string{"<@" + me + ">", "<@!" + me + ">"} }

func mentions(text, me string) bool {
	for _, form := range forms(me) {
		if strings.Contains(text, form) {
			return true
		}
	}
	return false
}

// without removes mentions of the bot from a text.
func without(text, me string) string {
	for _, form := range forms(me) {
		text = strings.ReplaceAll(text, form, " ")
	}
	return strings.Join(strings.Fields(text), " ")
}
