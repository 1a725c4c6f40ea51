package discordtest

import "strings"

// endpoint is a kind of request that makes or changes a message.
type endpoint struct {
	name     string
	flags    int64     // that may be set here
	standard allowance // when allowed_mentions is absent
	edit     bool
}

// The endpoints and the flags each may set (resources/message, resources/webhook,
// interactions/receiving-and-responding).
var (
	channelPost = endpoint{"a channel message", flagSuppressEmbeds | flagSilent | flagVoice, allowAll, false}
	channelEdit = endpoint{"an edit", flagSuppressEmbeds, allowAll, true}
	firstAnswer = endpoint{"an answer", flagSuppressEmbeds | flagEphemeral | flagSilent | flagVoice, allowUsers,
		false}
	deferral   = endpoint{"a deferral", flagEphemeral, allowUsers, false}
	answerEdit = endpoint{"an edit of an answer", flagSuppressEmbeds, allowUsers, true}
)

// draft is the message part of a request, checked.
type draft struct {
	end        endpoint
	body       object
	content    string
	embeds     []any
	components []any
	flags      int64
	mentions   allowance
	files      []*file
	keep       []string // ids of old attachments that stay; nil = all
}

// draft checks the message part of a request against the platform's limits.
// Old is the message it changes, nil if it makes one.
func (c *call) draft(body object, end endpoint, old *message) (*draft, reply) {
	f := c.form(body)
	d := &draft{end: end, body: body}
	d.flags = c.readFlags(f, end)
	d.content = f.text("content", 0, maxContent)
	d.embeds = readEmbeds(f)
	d.mentions = readAllowance(f, end.standard)
	d.components = readComponents(f)
	f.list("sticker_ids", 0, maxStickers)
	d.readAttachments(c, f, old)
	d.checkReferences(c, old)
	if bad, fine := c.check(f); !fine {
		return nil, bad
	}
	if d.emptyOn(old) {
		return nil, c.breach(emptyMessage)
	}
	c.notSimulated(body)
	return d, reply{}
}

// readFlags returns the flags the endpoint can set; the platform ignores
// others without a word, which is noted.
func (c *call) readFlags(f form, end endpoint) int64 {
	flags, _ := f.whole("flags", 0, 1<<31-1)
	if lost := flags &^ end.flags; lost != 0 {
		c.violate("flags %d cannot be set on %s and are ignored", lost, end.name)
	}
	return flags & end.flags
}

func blank(v any) bool {
	switch v := v.(type) {
	case nil:
		return true
	case string:
		return v == ""
	case []any:
		return len(v) == 0
	}
	return false
}

// emptyOn tells whether a message would have nothing in it.
func (d *draft) emptyOn(old *message) bool {
	after := &message{}
	if old != nil {
		copied := *old
		after = &copied
	}
	d.fill(after)
	return strings.TrimSpace(after.content) == "" && len(after.embeds) == 0 && len(after.components) == 0 &&
		len(after.files) == 0 && blank(d.body["sticker_ids"]) && d.body["poll"] == nil
}

// fill writes what the request gives into the message; keys that are absent
// leave an old message as it was.
func (d *draft) fill(m *message) {
	_, content := d.body["content"]
	if content || !d.end.edit {
		m.content = strings.TrimSpace(d.content)
	}
	if _, there := d.body["embeds"]; there || !d.end.edit {
		m.embeds = d.embeds
	}
	if _, there := d.body["components"]; there || !d.end.edit {
		m.components = d.components
	}
	m.files = append(d.kept(m.files), d.files...)
	if d.end.edit && d.body["flags"] != nil {
		m.flags &^= flagSuppressEmbeds // can be unset, the others only set
	}
	m.flags = m.flags&^flagLoading | d.flags
}

func (d *draft) kept(old []*file) []*file {
	if d.keep == nil {
		return append([]*file(nil), old...)
	}
	var out []*file
	for _, f := range old {
		for _, id := range d.keep {
			if f.id == id {
				out = append(out, f)
			}
		}
	}
	return out
}

// apply makes the message what the draft says: files get their addresses,
// mentions are worked out anew.
func (d *draft) apply(c *call, m *message) {
	for _, f := range d.files {
		c.srv.keep(f, m.channel.ID)
	}
	d.fill(m)
	m.show()
	m.components = numbered(m.components)
	m.pings = c.srv.notified(m.content, m.channel, d.mentions,
		m.channel.botMay().Has(MentionEveryone))
	if d.end.edit {
		m.edited = c.srv.Clock.Now()
	}
	c.houseRule(d, m)
}

// houseRule holds the message to the bot's own rule that nobody is pinged who
// has not agreed.
func (c *call) houseRule(d *draft, m *message) {
	if !c.srv.opts.NoPings {
		return
	}
	switch {
	case !d.mentions.given && (m.content != "" || len(m.components) > 0):
		c.violate("allowed_mentions is left to the default")
	case len(m.pings.unasked().names()) > 0:
		c.violate("would notify %s", strings.Join(m.pings.unasked().names(), ", "))
	}
}

// notSimulated notes what the stand-in accepts without acting on it.
func (c *call) notSimulated(body object) {
	for _, key := range []string{"poll", "shared_client_theme"} {
		if body[key] != nil {
			c.violate("%s: the stand-in does not simulate it", key)
		}
	}
}

// show resolves attachment:// references: the pictures get their addresses and
// the files leave the list of attachments.
func (m *message) show() {
	for _, f := range m.files {
		f.shown = false
	}
	resolve := func(text string) string {
		name, found := strings.CutPrefix(text, "attachment://")
		for _, f := range m.files {
			if found && f.name == name || text == f.url {
				f.shown = true
				return f.url
			}
		}
		return text
	}
	m.embeds, _ = rewrite(m.embeds, resolve).([]any)
	m.components, _ = rewrite(m.components, resolve).([]any)
}

// rewrite copies JSON and changes the strings under "url" and "icon_url".
func rewrite(v any, change func(string) string) any {
	switch v := v.(type) {
	case []any:
		out := make([]any, len(v))
		for i := range v {
			out[i] = rewrite(v[i], change)
		}
		return out
	case object:
		out := object{}
		for key, value := range v {
			if text, isText := value.(string); isText && (key == "url" || key == "icon_url") {
				out[key] = change(text)
			} else {
				out[key] = rewrite(value, change)
			}
		}
		return out
	}
	return v
}
