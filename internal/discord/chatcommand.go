package discord

import (
	"context"

	"holdbench/internal/commands"
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
func (b *Bot) request(data node) commands.Request {
	req := commands.Request{Command: data.at("name").text(), Values: map[string]string{}}
	cmd := b.commands[req.Command]
	for _, o := range data.at("options").items() {
		name, value := o.at("name").text(), o.at("value").text()
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
