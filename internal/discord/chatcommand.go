package discord

import (
	"context"

	"github.com/bwmarrin/discordgo"

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
	name, filled := chosen(data)
	req := commands.Request{Command: name, Values: map[string]string{}}
	cmd := b.commands[req.Command]
	for _, o := range filled {
		name, value := o.At("name").Text(), o.At("value").Text()
		if name == textOption && cmd != nil && cmd.Free {
			req.Text = value
			continue
		}
		if discordgo.ApplicationCommandOptionType(o.At("type").Whole()) == discordgo.ApplicationCommandOptionAttachment {
			req.Attached = b.attached(data.At("resolved").At("attachments").At(value))
			continue
		}
		req.Values[name] = value
	}
	return req
}

// attached is a file that somebody put beside a command. It is fetched where the command
// reads it: after it was seen that the asker may use the command.
func (b *Bot) attached(n api.Node) *commands.Attached {
	address := n.At("url").Text()
	return &commands.Attached{Name: n.At("filename").Text(), Size: n.At("size").Whole(),
		Read: func(ctx context.Context, most int64) ([]byte, error) {
			return api.FetchFile(ctx, b.settings.FileHost, address, most)
		}}
}

// chosen is the whole name of the command that was used, with its sub-command, and the
// options that were filled in.
func chosen(data api.Node) (name string, filled []api.Node) {
	name, filled = data.At("name").Text(), data.At("options").Items()
	for len(filled) == 1 && isSubCommand(filled[0]) {
		name += " " + filled[0].At("name").Text()
		filled = filled[0].At("options").Items()
	}
	return name, filled
}

func isSubCommand(o api.Node) bool {
	kind := discordgo.ApplicationCommandOptionType(o.At("type").Whole())
	return kind == discordgo.ApplicationCommandOptionSubCommand ||
		kind == discordgo.ApplicationCommandOptionSubCommandGroup
}

// slow reports whether a command says that it may take longer than a moment.
func (b *Bot) slow(command string) bool {
	cmd := b.commands[command]
	return cmd != nil && !cmd.Quick
}
