package discordtest

// Guild is a community's server on the platform.
type Guild struct {
	ID, Name string
	Owner    *User

	srv         *Server
	roles       []*Role // the first is @everyone
	members     map[string]*member
	order       []*member
	channels    []*Channel
	member      bool // the bot is in it
	installer   *User
	botRole     *Role
	unavailable bool
}

type member struct {
	user  *User
	roles []*Role
	joins string // when
}

// AddGuild makes a guild that the bot is a member of, with one channel,
// "general". Its owner is a person of its own. Before the bot connects this is
// the world it finds; for one that is joined later see [Server.JoinGuild].
func (s *Server) AddGuild(name string) *Guild {
	s.mu.Lock()
	defer s.mu.Unlock()
	g := s.newGuild(name)
	g.member = true
	s.announceGuild(g)
	return g
}

func (s *Server) newGuild(name string) *Guild {
	g := &Guild{ID: s.ids.nextGuild(s.Clock.Now()), Name: name, srv: s, members: map[string]*member{}}
	g.botRole = &Role{ID: s.newID(), Name: s.opts.Name, Permissions: botDefault, managed: true}
	g.roles = []*Role{{ID: g.ID, Name: "@everyone", Permissions: memberDefault}, g.botRole}
	s.guilds[g.ID], s.guildOrder = g, append(s.guildOrder, g)
	g.Owner = s.newUser(name+" owner", false)
	g.installer = g.Owner
	g.join(g.Owner)
	g.addChannel("general")
	return g
}

func (g *Guild) here() *Channel { return g.channels[0] }

// Channel returns the guild's channel of that name, and makes it if needed.
func (g *Guild) Channel(name string) *Channel {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	for _, ch := range g.channels {
		if ch.Name == name {
			return ch
		}
	}
	ch := g.addChannel(name)
	if g.member {
		g.srv.dispatch(event{name: "CHANNEL_CREATE", intent: intentGuilds, guild: g.ID, data: ch.json()})
	}
	return ch
}

func (g *Guild) addChannel(name string) *Channel {
	ch := &Channel{ID: g.srv.newID(), Name: name, srv: g.srv, guild: g}
	g.channels = append(g.channels, ch)
	g.srv.channels[ch.ID] = ch
	return ch
}

// Role makes a role with permissions beyond those of everybody.
func (g *Guild) Role(name string, p Permission) *Role {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	r := &Role{ID: g.srv.newID(), Name: name, Permissions: p}
	g.roles = append(g.roles, r)
	return r
}

// Join makes the user a member with the roles, or gives a member these roles.
func (g *Guild) Join(u *User, roles ...*Role) {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	g.join(u, roles...)
}

func (g *Guild) join(u *User, roles ...*Role) {
	if m := g.members[u.ID]; m != nil {
		m.roles = roles
		return
	}
	m := &member{user: u, roles: roles, joins: stamp(g.srv.Clock.Now())}
	g.members[u.ID], g.order = m, append(g.order, m)
}

// BotPermissions sets what the bot's own role lets it do: what it was invited
// with. What everybody may comes on top; see Everyone and [Channel.DenyBot].
func (g *Guild) BotPermissions(p Permission) {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	g.botRole.Permissions = p
}

// Everyone sets what every member may do, the bot among them.
func (g *Guild) Everyone(p Permission) {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	g.roles[0].Permissions = p
}

// botMay is what the bot may do in the guild.
func (g *Guild) botMay() Permission {
	return g.permissions(g.botMember())
}

// permissions is what the member may do in the guild.
func (g *Guild) permissions(m *member) Permission {
	if m.user == g.Owner {
		return everything
	}
	p := g.roles[0].Permissions
	for _, r := range m.roles {
		p |= r.Permissions
	}
	if p.Has(Administrator) {
		return everything
	}
	return p
}

func (g *Guild) memberJSON(m *member) object {
	roles := []string{}
	for _, r := range m.roles {
		roles = append(roles, r.ID)
	}
	return object{
		"user": m.user.json(), "nick": nil, "avatar": nil, "roles": roles, "joined_at": m.joins,
		"deaf": false, "mute": false, "flags": 0, "pending": false,
	}
}

func (g *Guild) botMember() *member {
	return &member{user: g.srv.bot, roles: []*Role{g.botRole}, joins: stamp(g.srv.Clock.Now())}
}

// json is the guild as REST gives it.
func (g *Guild) json() object {
	roles := []object{}
	for i, r := range g.roles {
		roles = append(roles, r.json(i))
	}
	return object{
		"id": g.ID, "name": g.Name, "owner_id": g.Owner.ID, "icon": nil, "roles": roles, "emojis": []object{},
		"features": []string{}, "preferred_locale": "en-GB", "system_channel_id": g.channels[0].ID,
		"verification_level": 1, "default_message_notifications": 1, "explicit_content_filter": 0,
		"mfa_level": 0, "nsfw_level": 0, "premium_tier": 0, "afk_timeout": 300, "system_channel_flags": 0,
	}
}

// createJSON is the guild as GUILD_CREATE gives it: without the presence
// intent only the bot is among the members.
func (g *Guild) createJSON() object {
	out := g.json()
	channels := []object{}
	for _, ch := range g.channels {
		channels = append(channels, ch.json())
	}
	out["channels"], out["threads"] = channels, []object{}
	out["members"], out["member_count"] = []object{g.memberJSON(g.botMember())}, len(g.members)+1
	out["joined_at"], out["large"], out["unavailable"] = stamp(g.srv.Clock.Now()), false, false
	out["voice_states"], out["presences"], out["stage_instances"] = []object{}, []object{}, []object{}
	return out
}
