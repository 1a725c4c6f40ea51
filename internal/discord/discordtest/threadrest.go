package discordtest

import "slices"

// threadMinutes are the times after which an idle thread hides (topics/threads).
var threadMinutes = []int64{60, 1440, 4320, 10080}

// startThread opens a thread, from a message (same id, one each) or without.
func startThread(c *call) reply {
	ch, bad := channelOf(c)
	if ch == nil {
		return bad
	}
	f := newForm(c.body)
	name := f.needText("name", 1, maxThreadName)
	if idle, given := f.whole("auto_archive_duration", 60, 10080); given && !slices.Contains(threadMinutes, idle) {
		f.fail("auto_archive_duration", "BASE_TYPE_CHOICES", "Value must be one of %v.", threadMinutes)
	}
	kind, typed := f.whole("type", 10, channelPrivateThread)
	if bad, fine := c.check(f); !fine {
		return bad
	}
	thread := &Channel{Name: name, srv: c.srv, guild: ch.guild, parent: ch, kind: channelPublicThread}
	if c.params["message"] == "" && (!typed || kind == channelPrivateThread) {
		thread.kind = channelPrivateThread // without a type a thread is private
	}
	if bad := thread.mayOpen(); bad.status != 0 {
		return bad
	}
	thread.ID = c.srv.newID()
	if c.params["message"] != "" {
		m, bad := messageOf(c)
		if m == nil {
			return bad
		}
		if m.thread != nil {
			return threadExists
		}
		thread.ID, m.thread, m.flags = m.id, thread, m.flags|flagHasThread
	}
	ch.guild.channels = append(ch.guild.channels, thread)
	c.srv.channels[thread.ID] = thread
	c.srv.dispatch(event{name: "THREAD_CREATE", intent: intentGuilds, guild: ch.guild.ID, data: thread.json()})
	return made(thread.json())
}

// mayOpen checks the bot's right to open the thread.
func (ch *Channel) mayOpen() reply {
	need := CreatePublicThreads
	if ch.kind == channelPrivateThread {
		need = CreatePrivateThreads
	}
	switch {
	case ch.guild == nil:
		return refuse(400, 50003, "Cannot execute action on a DM channel")
	case !ch.parent.botMay().Has(need):
		return missingPermissions
	}
	return reply{}
}
