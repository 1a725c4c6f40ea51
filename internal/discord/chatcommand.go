package discord

import (
	"context"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// textOption is the name of the option for a command's free text.
const textOption = "text"

// chatCommand answers a slash command, with its form if something is missing that the form can ask for.
func (t *turn) chatCommand(ctx context.Context) {
	req := t.bot.request(t.ix.data)
	t.command = t.bot.named(req.Command)
	if commands.WantsForm(req) {
		t.openForm(ctx, req)
		return
	}
	t.finish(ctx, t.bot.slow(req.Command), func(ctx context.Context) message { return t.ask(ctx, req) })
}

// request reads a slash command. Options that are not declared are passed on too, so that the command can refuse them.
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
		kind := discordgo.ApplicationCommandOptionType(o.At("type").Whole())
		if kind == discordgo.ApplicationCommandOptionAttachment {
			req.Attached = b.attached(data.At("resolved").At("attachments").At(value))
			continue
		}
		req.Values[name] = value
	}
	return req
}

// attached is a file that came with a command. It is fetched when the command reads it, once it is clear that the asker
// may use the command.
func (b *Bot) attached(n api.Node) *commands.Attached {
	address := n.At("url").Text()
	return &commands.Attached{Name: n.At("filename").Text(), Size: n.At("size").Whole(),
		Read: func(ctx context.Context, most int64) ([]byte, error) {
			return api.FetchFile(ctx, b.settings.FileHost, address, most)
		}}
}

// chosen returns the command's full name, sub-commands included, and the options that were filled in.
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

// slow reports whether a command declares that it may take long.
func (b *Bot) slow(command string) bool {
	cmd := b.commands[command]
	return cmd != nil && !cmd.Quick
}
