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
		c.violate("the token of %s was used after %s", ix.what, c.srv.opts.TokenLife)
		return nil, badWebhookToken
	case ix.dead || ix.answered == 0:
		c.violate("%s: %s has no first answer", unknownWebhook.refusal(), ix.what)
		return nil, unknownWebhook
	}
	return ix, reply{}
}

// answerOf finds the message of a call: @original or a follow-up.
func answerOf(c *call) (*interaction, *message, reply) {
	ix, bad := hookOf(c)
	if ix == nil {
		return nil, nil, bad
	}
	id := c.params["message"]
	if m := ix.original; m != nil && !m.deleted && (id == "@original" || id == m.id) {
		return ix, m, reply{}
	}
	for _, m := range ix.followups {
		if m.id == id && !m.deleted {
			return ix, m, reply{}
		}
	}
	if ix.original == nil && id == "@original" {
		c.violate("%s has no @original: it was answered otherwise", ix.what)
	}
	return nil, nil, unknownMessage
}

func getAnswer(c *call) reply {
	_, m, bad := answerOf(c)
	if m == nil {
		return bad
	}
	return ok(m.json())
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

func deleteAnswer(c *call) reply {
	ix, m, bad := answerOf(c)
	if m == nil {
		return bad
	}
	m.remove()
	ix.finish()
	return noContent()
}

// createFollowup sends another message. Straight after a deferral it fills the
// promised one instead, a deprecated behaviour that is noted as a violation.
func createFollowup(c *call) reply {
	ix, bad := hookOf(c)
	if ix == nil {
		return bad
	}
	for _, key := range []string{"username", "avatar_url", "thread_name"} {
		if !blank(c.body[key]) {
			c.violate("%s is not supported in a follow-up", key)
		}
	}
	if m := ix.original; m != nil && m.loading() {
		c.violate("a follow-up straight after a deferral fills the deferred answer: deprecated, edit @original")
		delete(c.body, "flags")
		return c.fillAnswer(ix, m)
	}
	d, bad := c.draft(c.body, followup, nil)
	if d == nil {
		return bad
	}
	m := ix.newAnswer(d.flags&flagEphemeral != 0)
	d.apply(c, m)
	ix.followups = append(ix.followups, m)
	m.announce("MESSAGE_CREATE")
	ix.finish()
	return ok(m.json())
}
