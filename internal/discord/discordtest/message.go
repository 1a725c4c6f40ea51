package discordtest

import (
	"slices"
	"time"
)

// Message types (resources/message).
const (
	typeDefault     = 0
	typeReply       = 19
	typeChatCommand = 20
	typeContextMenu = 23
)

// message is a message as the platform keeps it.
type message struct {
	id          string
	channel     *Channel
	author      *User
	made        time.Time
	edited      time.Time // zero = never
	kind        int
	content     string
	embeds      []any
	components  []any
	flags       int64
	files       []*file
	pings       audience
	nonce       any
	replyTo     *message
	interaction *interaction // it answers this one
	visible     *User        // ephemeral: to this user only
	deleted     bool
}

func (m *message) visibleTo(u *User) bool {
	return !m.deleted && (m.visible == nil || m.visible == u)
}

func (m *message) loading() bool { return m.flags&flagLoading != 0 }

// newMessage puts an empty message of the author into the channel.
func (s *Server) newMessage(ch *Channel, author *User) *message {
	m := &message{id: s.newID(), channel: ch, author: author, made: s.Clock.Now()}
	s.messages[m.id] = m
	ch.messages = append(ch.messages, m)
	return m
}

// json is the message object. Attachments that an embed or component shows are
// not among the attachments.
func (m *message) json() object {
	attachments := []object{}
	for _, f := range m.files {
		if !f.shown {
			attachments = append(attachments, f.json())
		}
	}
	users, roles := []object{}, []string{}
	for _, u := range m.pings.users {
		users = append(users, u.json())
	}
	for _, r := range m.pings.roles {
		roles = append(roles, r.ID)
	}
	out := object{
		"id": m.id, "channel_id": m.channel.ID, "author": m.author.json(), "type": m.kind,
		"content": m.content, "embeds": list(m.embeds), "components": list(m.components), "attachments": attachments,
		"mentions": users, "mention_roles": roles, "mention_everyone": m.pings.everyone,
		"timestamp": stamp(m.made), "edited_timestamp": nil, "tts": false, "pinned": false, "flags": m.flags,
	}
	if !m.edited.IsZero() {
		out["edited_timestamp"] = stamp(m.edited)
	}
	m.addOrigin(out)
	return out
}

// addOrigin tells what the message came from: a reply's target, an interaction.
func (m *message) addOrigin(out object) {
	if m.nonce != nil {
		out["nonce"] = m.nonce
	}
	if m.replyTo != nil {
		out["message_reference"] = object{"message_id": m.replyTo.id, "channel_id": m.channel.ID,
			"guild_id": m.channel.guildID()}
	}
	if m.author.Bot {
		out["application_id"] = m.author.srv.app["id"]
	}
	if m.interaction != nil {
		out["webhook_id"] = m.author.srv.app["id"]
		out["interaction_metadata"] = object{
			"id": m.interaction.id, "type": m.interaction.kind, "user": m.interaction.user.json(),
			"authorizing_integration_owners": m.interaction.owners(),
		}
	}
}

// readable is the message as the bot may read it: without the message content
// intent, content, embeds, attachments and components are empty unless the
// bot wrote it, it mentions the bot, or it is a direct message
// (events/gateway, message content intent).
func (m *message) readable(granted bool) object {
	out := m.json()
	s := m.channel.srv
	if granted || m.author == s.bot || m.channel.kind == channelDM || slices.Contains(m.pings.users, s.bot) {
		return out
	}
	out["content"], out["embeds"], out["attachments"], out["components"] = "", []any{}, []any{}, []any{}
	return out
}

// eventJSON is the message as MESSAGE_CREATE and MESSAGE_UPDATE carry it.
func (m *message) eventJSON(granted bool) object {
	out := m.readable(granted)
	if m.replyTo != nil && !m.replyTo.deleted {
		out["referenced_message"] = m.replyTo.readable(granted)
	}
	if g := m.channel.guild; g != nil {
		out["guild_id"] = g.ID
		if sender := g.members[m.author.ID]; sender != nil {
			one := g.memberJSON(sender)
			delete(one, "user")
			out["member"] = one
		}
	}
	return out
}

// announce tells the bot of the message; nobody hears of ephemeral ones.
func (m *message) announce(name string) {
	if m.visible != nil {
		return
	}
	intent := intentGuildMessages
	if m.channel.guild == nil {
		intent = intentDirectMessages
	}
	m.channel.srv.dispatch(event{
		name: name, intent: intent, guild: m.channel.guildID(),
		data: m.eventJSON(true), blanked: m.eventJSON(false),
	})
}

// remove deletes the message.
func (m *message) remove() {
	m.deleted = true
	m.channel.messages = slices.DeleteFunc(m.channel.messages, func(other *message) bool { return other == m })
	delete(m.channel.srv.messages, m.id)
	if m.visible != nil {
		return
	}
	intent := intentGuildMessages
	if m.channel.guild == nil {
		intent = intentDirectMessages
	}
	data := object{"id": m.id, "channel_id": m.channel.ID}
	if id := m.channel.guildID(); id != "" {
		data["guild_id"] = id
	}
	m.channel.srv.dispatch(event{name: "MESSAGE_DELETE", intent: intent, guild: m.channel.guildID(), data: data})
}

// list is never null in JSON.
func list(items []any) []any {
	if items == nil {
		return []any{}
	}
	return items
}
