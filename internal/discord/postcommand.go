package discord

import (
	"context"
	"slices"
	"strings"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// postCommand answers a command from a message's menu, with the form filled in from the message. The message's link is
// passed on as evidence; its text is not kept.
func (t *turn) postCommand(ctx context.Context) {
	name := t.ix.data.At("name").Text()
	post := t.chosenPost()
	for _, cmd := range t.bot.commands {
		if cmd.Form != nil && cmd.Form.Post == name && name != "" {
			t.command = cmd.Name
			t.openForm(ctx, commands.Request{
				Command: cmd.Name,
				Post:    &commands.Post{Text: post.At("content").Text(), Film: hasFilm(post)},
				Link:    t.postLink(post.At("channel_id").Text(), t.ix.data.At("target_id").Text()),
			})
			return
		}
	}
	t.finish(ctx, false, t.stale(""))
}

// hasFilm reports whether a message has a film attached. The film's address is not kept: it expires, and the message's
// link leads there.
func hasFilm(post api.Node) bool {
	return slices.ContainsFunc(post.At("attachments").Items(), func(a api.Node) bool {
		return strings.HasPrefix(a.At("content_type").Text(), "video/")
	})
}

// chosenPost is the message that the command was used on.
func (t *turn) chosenPost() api.Node {
	return t.ix.data.At("resolved").At("messages").At(t.ix.data.At("target_id").Text())
}

// postLink is the link to a message, "" if it is not known.
func (t *turn) postLink(channel, id string) string {
	if channel == "" || id == "" {
		return ""
	}
	server := t.ix.server
	if server == "" {
		server = "@me"
	}
	return postBase + server + "/" + channel + "/" + id
}
