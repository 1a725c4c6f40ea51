package discordtest

import "slices"

// allowedCallbacks says which callbacks an interaction takes.
func (ix *interaction) allowedCallbacks() []int {
	switch ix.kind {
	case interactionAutocomplete:
		return []int{callbackChoices}
	case interactionComponent:
		return []int{callbackMessage, callbackDeferred, callbackWait, callbackUpdate, callbackModal}
	case interactionModal:
		if ix.source != nil {
			return []int{callbackMessage, callbackDeferred, callbackWait, callbackUpdate}
		}
		return []int{callbackMessage, callbackDeferred}
	}
	return []int{callbackMessage, callbackDeferred, callbackModal}
}

// callback is the first answer to an interaction, due within three seconds.
func callback(c *call) reply {
	ix := c.srv.interactions[c.params["token"]]
	if ix == nil || ix.id != c.params["interaction"] {
		return c.breach(unknownInteraction)
	}
	switch {
	case ix.answered != 0:
		if ix.copies > 1 { // the platform delivered it more than once
			return alreadyAnswered
		}
		return c.breach(alreadyAnswered)
	case ix.overdue():
		if !ix.dead { // else it was noted when the time was over
			ix.dead = true
			c.violate("no answer within %s: it came %s after %s", c.srv.opts.Deadline, c.srv.Clock.Now().Sub(ix.made),
				ix.what)
			ix.step()
		}
		return unknownInteraction
	}
	f := newForm(c.body)
	f.require("type")
	kind, _ := f.whole("type", 1, 13)
	if allowed := ix.allowedCallbacks(); !f.failed() && !slices.Contains(allowed, int(kind)) {
		f.fail("type", "BASE_TYPE_CHOICES", "Value must be one of %v.", allowed)
	}
	data, _ := f.sub("data")
	if bad, fine := c.check(f); !fine {
		return bad
	}
	if data.data == nil {
		data.data = object{}
	}
	c.under = []string{"data"}
	if ix.refusesFiles(c) {
		return missingPermissions
	}
	if bad := c.answerWith(ix, int(kind), data.data); bad.status != 0 {
		return bad
	}
	if c.query.Has("with_response") {
		c.violate("with_response: the stand-in does not simulate it")
	}
	return noContent()
}

// refusesFiles reports whether the bot lacks the permission for the files. The documentation names no exception for
// answers, so files need the same permission there as in any message of the bot's.
func (ix *interaction) refusesFiles(c *call) bool {
	return len(c.files) > 0 && !ix.channel.botMay().Has(AttachFiles)
}

// answerWith carries the callback out; the zero reply means it was fine.
func (c *call) answerWith(ix *interaction, kind int, data object) reply {
	switch kind {
	case callbackChoices:
		return c.answerChoices(ix, data)
	case callbackModal:
		return c.answerModal(ix, data)
	case callbackDeferred:
		return c.answerLater(ix, data)
	case callbackWait:
		if len(data) > 0 && !emptyAnswer(data) {
			c.violate("the data of a deferred update is lost")
		}
		ix.original = ix.source
		ix.acknowledge(kind)
		ix.step()
		return reply{}
	case callbackUpdate:
		return c.answerUpdate(ix, data)
	}
	return c.answerMessage(ix, data)
}

// emptyAnswer tells whether the data says nothing: libraries send empty fields.
func emptyAnswer(data object) bool {
	for key, value := range data {
		if key != "flags" && !blank(value) && value != false {
			return false
		}
	}
	return true
}

func (c *call) answerMessage(ix *interaction, data object) reply {
	d, bad := c.draft(data, firstAnswer, nil)
	if d == nil {
		return bad
	}
	m := ix.newAnswer(d.flags&flagEphemeral != 0)
	d.apply(c, m)
	ix.original = m
	ix.acknowledge(callbackMessage)
	m.announce("MESSAGE_CREATE")
	ix.finish()
	return reply{}
}

// newAnswer puts a message that answers the interaction into its channel.
func (ix *interaction) newAnswer(ephemeral bool) *message {
	m := ix.srv.newMessage(ix.channel, ix.srv.bot)
	m.interaction = ix
	if ephemeral {
		m.visible = ix.user
	}
	switch ix.kind {
	case interactionCommand:
		m.kind = typeChatCommand
		if kindOf(ix.data) != chatCommand {
			m.kind = typeContextMenu
		}
	case interactionComponent:
		m.kind, m.replyTo = typeReply, ix.source
	}
	return m
}

// answerLater shows "thinking"; it fixes for good who sees the answer.
func (c *call) answerLater(ix *interaction, data object) reply {
	f := c.form(data)
	flags := c.readFlags(f, deferral)
	if bad, fine := c.check(f); !fine {
		return bad
	}
	if !emptyAnswer(data) {
		c.violate("a deferral carries flags only; the rest is lost")
	}
	m := ix.newAnswer(flags&flagEphemeral != 0)
	m.flags = flags | flagLoading
	ix.original = m
	ix.acknowledge(callbackDeferred)
	m.announce("MESSAGE_CREATE")
	ix.step()
	return reply{}
}

// answerUpdate changes the message the component sits on.
func (c *call) answerUpdate(ix *interaction, data object) reply {
	d, bad := c.draft(data, answerEdit, ix.source)
	if d == nil {
		return bad
	}
	d.apply(c, ix.source)
	ix.original = ix.source
	ix.acknowledge(callbackUpdate)
	ix.source.announce("MESSAGE_UPDATE")
	ix.finish()
	return reply{}
}

func (c *call) answerChoices(ix *interaction, data object) reply {
	f := c.form(data)
	var out []Choice
	for _, one := range f.forms("choices", 0, maxChoices) {
		kept, _ := readChoice(one, ix.focus)
		name, _ := kept["name"].(string)
		out = append(out, Choice{Name: name, Value: plainValue(kept["value"])})
	}
	if bad, fine := c.check(f); !fine {
		return bad
	}
	ix.suggestions = out
	ix.acknowledge(callbackChoices)
	ix.finish()
	return reply{}
}

func (c *call) answerModal(ix *interaction, data object) reply {
	f := c.form(data)
	readModal(f)
	if bad, fine := c.check(f); !fine {
		return bad
	}
	ix.modal = newModal(ix, data)
	ix.acknowledge(callbackModal)
	ix.finish()
	return reply{}
}
