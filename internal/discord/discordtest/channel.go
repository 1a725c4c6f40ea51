package discordtest

// Channel types (resources/channel).
const (
	channelText = 0
	channelDM   = 1
)

// Channel is a text channel of a guild, or a direct-message channel.
type Channel struct {
	ID, Name string

	srv       *Server
	guild     *Guild // nil in direct messages
	kind      int
	recipient *User // direct messages only
	denied    Permission
	messages  []*message
	created   map[string]*message // by nonce
	posts     []*post             // of people
}

// Place is where a person acts: a *Channel, or a *Guild, which stands for its
// first channel.
type Place interface{ here() *Channel }

func (ch *Channel) here() *Channel { return ch }

// DenyBot takes permissions from the bot in this channel, by an overwrite.
func (ch *Channel) DenyBot(p Permission) {
	ch.srv.mu.Lock()
	defer ch.srv.mu.Unlock()
	ch.denied |= p
}

// Messages are what the user can see in the channel, oldest first.
func (ch *Channel) Messages(u *User) []Message {
	ch.srv.mu.Lock()
	defer ch.srv.mu.Unlock()
	var out []Message
	for _, m := range ch.messages {
		if m.visibleTo(u) {
			out = append(out, m.view())
		}
	}
	return out
}

// botMay is the bot's permissions here.
func (ch *Channel) botMay() Permission {
	if ch.guild == nil {
		return dmDefault
	}
	if !ch.guild.member {
		return 0
	}
	return ch.guild.botMay() &^ ch.denied
}

func (ch *Channel) guildID() string {
	if ch.guild == nil {
		return ""
	}
	return ch.guild.ID
}

func (ch *Channel) json() object {
	out := object{"id": ch.ID, "type": ch.kind, "last_message_id": nil, "flags": 0}
	if n := len(ch.messages); n > 0 {
		out["last_message_id"] = ch.messages[n-1].id
	}
	if ch.kind == channelDM {
		out["recipients"] = []object{ch.recipient.json()}
		return out
	}
	out["guild_id"], out["name"], out["position"], out["permission_overwrites"] = ch.guild.ID, ch.Name, 0,
		ch.overwrites()
	return out
}

// overwrites are the channel's exceptions: what it denies the bot (type 1 = a
// member).
func (ch *Channel) overwrites() []object {
	if ch.denied == 0 {
		return []object{}
	}
	return []object{{"id": ch.srv.bot.ID, "type": 1, "allow": "0", "deny": ch.denied.String()}}
}

// channelOf finds the channel of a call as far as the bot may see it.
func channelOf(c *call) (*Channel, reply) {
	ch := c.srv.channels[c.params["channel"]]
	switch {
	case ch == nil:
		return nil, unknownChannel
	case !ch.botMay().Has(ViewChannel):
		return nil, missingAccess
	}
	return ch, reply{}
}

func getChannel(c *call) reply {
	ch, bad := channelOf(c)
	if ch == nil {
		return bad
	}
	return ok(ch.json())
}
