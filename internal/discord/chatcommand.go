package discord

import (
	"context"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// textOption is the option that takes a command's free text.
const textOption = "text"

// chatCommand answers a slash command: by its form where something is missing
// that a form can ask for.
func (t *turn) chatCommand(ctx context.Context) {
	req := t.bot.request(t.ix.data)
	t.command = t.bot.named(req.Command)
	if commands.WantsForm(req) {
		t.openForm(ctx, req)
		return
	}
	t.finish(ctx, t.bot.slow(req.Command), func(ctx context.Context) message { return t.ask(ctx, req) })
}

// request is what was filled in. What is not declared is handed on all the same:
// the command says that it does not know it.
func (b *Bot) request(data api.Node) commands.Request {
	req := commands.Request{Command: data.At("name").Text(), Values: map[string]string{}}
	cmd := b.commands[req.Command]
	for _, o := range data.At("options").Items() {
		name, value := o.At("name").Text(), o.At("value").Text()
		if name == textOption && cmd != nil && cmd.Free {
			req.Text = value
			continue
		}
		req.Values[name] = value
	}
	return req
}

// slow reports whether a command says that it may take longer than a moment.
func (b *Bot) slow(command string) bool {
	cmd := b.commands[command]
	return cmd != nil && cmd.Slow
}
