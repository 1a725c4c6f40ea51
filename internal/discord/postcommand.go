package discord

import (
	"context"

	"holdbench/internal/commands"
)

// postCommand answers a command chosen from a message's menu: the form, filled in
// from what the message says. The message's address goes along as evidence; its
// words are not kept.
func (t *turn) postCommand(ctx context.Context) {
	name := t.ix.data.at("name").text()
	post := t.post()
	for _, cmd := range t.bot.commands {
		if cmd.Form != nil && cmd.Form.Post == name && name != "" {
			t.command = cmd.Name
			t.openForm(ctx, commands.Request{
				Command: cmd.Name,
				Post:    &commands.Post{Text: post.at("content").text()},
				Link:    t.postLink(post.at("channel_id").text(), t.ix.data.at("target_id").text()),
			})
			return
		}
	}
	t.finish(ctx, false, t.stale(""))
}

// post is the message that a command was chosen from, as Discord hands it over.
func (t *turn) post() node {
	return t.ix.data.at("resolved").at("messages").at(t.ix.data.at("target_id").text())
}

// postLink is the address of a message, "" where it cannot be told.
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
