package discordtest

import (
	"fmt"
	"slices"
)

// createMessage posts a message of the bot.
func createMessage(c *call) reply {
	ch, bad := channelOf(c)
	if ch == nil {
		return bad
	}
	if refused := ch.mayPost(c); refused.status != 0 {
		return refused
	}
	d, bad := c.draft(c.body, channelPost, nil)
	if d == nil {
		return bad
	}
	nonce, target, bad := c.readPost(ch)
	if bad.status != 0 {
		return bad
	}
	if first := ch.before(nonce, c); first != nil && c.body["enforce_nonce"] == true {
		return ok(first.json())
	}
	m := c.srv.newMessage(ch, c.srv.bot)
	d.apply(c, m)
	m.nonce, m.replyTo = nonce, target
	if target != nil {
		m.kind = typeReply
		if d.mentions.replied && !slices.Contains(m.pings.users, target.author) {
			m.pings.users = append(m.pings.users, target.author)
		}
		c.houseRule(d, m)
	}
	if nonce != nil {
		ch.created[fmt.Sprint(nonce)] = m
	}
	m.announce("MESSAGE_CREATE")
	c.srv.answered(m)
	return ok(m.json())
}

// mayPost checks the bot's rights in the channel.
func (ch *Channel) mayPost(c *call) reply {
	may := ch.botMay()
	switch {
	case ch.recipient != nil && ch.recipient.closedDM:
		return cannotMessage
	case !may.Has(SendMessages), len(c.files) > 0 && !may.Has(AttachFiles):
		return missingPermissions
	}
	if !may.Has(EmbedLinks) && !blank(c.body["embeds"]) {
		c.violate("embeds without the Embed Links permission are not shown")
	}
	return reply{}
}

// readPost reads what only a channel message has: nonce and reply.
func (c *call) readPost(ch *Channel) (nonce any, target *message, bad reply) {
	f := newForm(c.body)
	if _, isText := c.body["nonce"].(string); isText {
		f.text("nonce", 0, maxNonce)
	} else {
		f.whole("nonce", -1<<63, 1<<63-1)
	}
	enforce := f.yes("enforce_nonce")
	if enforce && !f.has("nonce") {
		c.violate("enforce_nonce without a nonce does nothing")
	}
	ref, there := f.sub("message_reference")
	if there {
		id := ref.id("message_id")
		ref.require("message_id")
		target = c.srv.messages[id]
		strict := ref.data["fail_if_not_exists"] != false
		ref.yes("fail_if_not_exists")
		if target != nil && (target.channel != ch || target.visible != nil) {
			target = nil
		}
		if target == nil && strict && !ref.failed() {
			// circumstances, not a breach: the target was deleted meanwhile
			ref.fail("", "REPLIES_UNKNOWN_MESSAGE", "Unknown message")
			return nil, nil, invalidForm(*f.errs)
		}
		if !ch.botMay().Has(ReadMessageHistory) {
			return nil, nil, noHistory
		}
	}
	if bad, fine := c.check(f); !fine {
		return nil, nil, bad
	}
	return c.body["nonce"], target, reply{}
}

// before is the message made with the nonce in the past few minutes.
func (ch *Channel) before(nonce any, c *call) *message {
	if ch.created == nil {
		ch.created = map[string]*message{}
	}
	if nonce == nil {
		return nil
	}
	m := ch.created[fmt.Sprint(nonce)]
	if m == nil || c.srv.Clock.Now().Sub(m.made) > assumedNonceMemory {
		return nil
	}
	return m
}

// messageOf finds the message of a call; ephemeral ones are not to be had.
func messageOf(c *call) (*message, reply) {
	ch, bad := channelOf(c)
	if ch == nil {
		return nil, bad
	}
	m := c.srv.messages[c.params["message"]]
	switch {
	case m == nil || m.channel != ch || m.visible != nil:
		return nil, unknownMessage
	case !ch.botMay().Has(ReadMessageHistory):
		return nil, missingAccess
	}
	return m, reply{}
}

func getMessage(c *call) reply {
	m, bad := messageOf(c)
	if m == nil {
		return bad
	}
	return ok(m.readLater(c.srv.opts.MessageContent))
}

// readLater is the message as it is read some time after it was made: its nonce
// is told once, to whoever made it, and not again (practice).
func (m *message) readLater(granted bool) object {
	out := m.readable(granted)
	delete(out, "nonce")
	return out
}

// listMessages gives the latest of a channel, or with after the first that follow,
// the latest of them first either way.
func listMessages(c *call) reply {
	ch, bad := channelOf(c)
	if ch == nil {
		return bad
	}
	limit := min(limitOf(c.query, 50), 100)
	out := []object{}
	for _, m := range slices.Backward(ch.messages) {
		if m.visible == nil && ch.botMay().Has(ReadMessageHistory) && inRange(m.id, c) {
			out = append(out, m.readLater(c.srv.opts.MessageContent))
		}
	}
	if len(out) > limit {
		if c.query.Get("after") != "" {
			out = out[len(out)-limit:]
		} else {
			out = out[:limit]
		}
	}
	return ok(out)
}

// inRange applies the before and after of a page of messages.
func inRange(id string, c *call) bool {
	n, _ := wholeNumber(id)
	if before, there := wholeNumber(c.query.Get("before")); there && n >= before {
		return false
	}
	after, there := wholeNumber(c.query.Get("after"))
	return !there || n > after
}

func editMessage(c *call) reply {
	m, bad := messageOf(c)
	if m == nil {
		return bad
	}
	if m.author != c.srv.bot {
		return notOurs
	}
	if len(c.files) > 0 && !m.channel.botMay().Has(AttachFiles) {
		return missingPermissions
	}
	d, bad := c.draft(c.body, channelEdit, m)
	if d == nil {
		return bad
	}
	d.apply(c, m)
	m.announce("MESSAGE_UPDATE")
	c.srv.answered(m)
	return ok(m.json())
}
