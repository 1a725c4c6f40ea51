package discordtest

// User is a person, or the bot. Fields are not to be changed once made.
type User struct {
	ID, Name string
	Bot      bool
	Locale   string // "en-GB" unless changed before first use

	srv      *Server
	dm       *Channel
	closedDM bool
	agreed   bool // to be pinged
}

// User makes a person.
func (s *Server) User(name string) *User {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.newUser(name, false)
}

func (s *Server) newUser(name string, bot bool) *User {
	u := &User{ID: s.newID(), Name: name, Bot: bot, Locale: "en-GB", srv: s}
	s.users[u.ID] = u
	return u
}

// Bot is the bot's own user.
func (s *Server) Bot() *User {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.bot
}

// Mention is the text that mentions the user.
func (u *User) Mention() string { return "<@" + u.ID + ">" }

// DM is the direct-message channel between the user and the bot.
func (u *User) DM() *Channel {
	u.srv.mu.Lock()
	defer u.srv.mu.Unlock()
	return u.srv.dmWith(u)
}

// CloseDMs makes the user refuse direct messages from the bot: 50007.
func (u *User) CloseDMs() {
	u.srv.mu.Lock()
	defer u.srv.mu.Unlock()
	u.closedDM = true
}

// AgreeToPings makes the user one whom Options.NoPings does not protect.
func (u *User) AgreeToPings() {
	u.srv.mu.Lock()
	defer u.srv.mu.Unlock()
	u.agreed = true
}

func (s *Server) dmWith(u *User) *Channel {
	if u.dm == nil {
		u.dm = &Channel{ID: s.newID(), Name: "DM with " + u.Name, srv: s, recipient: u, kind: channelDM}
		s.channels[u.dm.ID] = u.dm
	}
	return u.dm
}

func (u *User) json() object {
	return object{
		"id": u.ID, "username": u.Name, "global_name": u.Name, "discriminator": "0", "avatar": nil,
		"bot": u.Bot, "public_flags": 0, "locale": u.Locale,
	}
}

func getSelf(c *call) reply { return ok(c.srv.bot.json()) }

func openDM(c *call) reply {
	f := newForm(c.body)
	id := f.id("recipient_id")
	f.require("recipient_id")
	if bad, fine := c.check(f); !fine {
		return bad
	}
	u := c.srv.users[id]
	if u == nil {
		return unknownUser
	}
	if u == c.srv.bot {
		return cannotMessage
	}
	return ok(c.srv.dmWith(u).json())
}
