package discordtest

import "time"

// Answers to an interaction after the first one: by its token, for fifteen
// minutes, without an Authorization header.

// hookOf finds the interaction of a token that still works.
func hookOf(c *call) (*interaction, reply) {
	ix := c.srv.interactions[c.params["token"]]
	switch {
	case ix == nil || c.params["application"] != c.srv.app["id"]:
		return nil, c.breach(unknownWebhook)
	case ix.expired():
		c.violate("the token of %s was used after %s", ix.what, documentedTokenLife)
		return nil, badWebhookToken
	case ix.dead || ix.answered == 0:
		c.violate("%s: %s has no first answer", unknownWebhook.refusal(), ix.what)
		return nil, unknownWebhook
	}
	return ix, reply{}
}

// answerOf finds the message of a call.
func answerOf(c *call) (*interaction, *message, reply) {
	ix, bad := hookOf(c)
	if ix == nil {
		return nil, nil, bad
	}
	id := c.params["message"]
	if m := ix.original; m != nil && !m.deleted && (id == "@original" || id == m.id) {
		return ix, m, reply{}
	}
	if ix.original == nil && id == "@original" {
		c.violate("%s has no @original: it was answered otherwise", ix.what)
	}
	return nil, nil, unknownMessage
}

func editAnswer(c *call) reply {
	ix, m, bad := answerOf(c)
	if m == nil {
		return bad
	}
	return c.fillAnswer(ix, m)
}

// fillAnswer writes an edit into an answer.
func (c *call) fillAnswer(ix *interaction, m *message) reply {
	if ix.refusesFiles(c) {
		return missingPermissions
	}
	d, bad := c.draft(c.body, answerEdit, m)
	if d == nil {
		return bad
	}
	first := m.loading()
	d.apply(c, m)
	if first {
		m.edited = time.Time{} // filling a promise is no edit a person sees
	}
	m.announce("MESSAGE_UPDATE")
	ix.finish()
	return ok(m.json())
}
