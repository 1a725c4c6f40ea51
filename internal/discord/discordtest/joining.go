package discordtest

// createEvent is GUILD_CREATE of the guild.
func (g *Guild) createEvent() event {
	return event{name: "GUILD_CREATE", intent: intentGuilds, guild: g.ID, data: g.createJSON()}
}

func (s *Server) announceGuild(g *Guild) { s.dispatch(g.createEvent()) }

// JoinGuild makes a guild that the installer adds the bot to now: GUILD_CREATE,
// and for bots that listen to it INTEGRATION_CREATE.
func (s *Server) JoinGuild(name string, installer *User) *Guild {
	s.mu.Lock()
	defer s.mu.Unlock()
	g := s.newGuild(name)
	g.installer = installer
	g.join(installer, &Role{ID: s.newID(), Name: "admin", Permissions: ManageGuild})
	g.roles = append(g.roles, g.members[installer.ID].roles...)
	s.enter(g)
	return g
}

// Rejoin brings the bot back into a guild it left.
func (s *Server) Rejoin(g *Guild) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.enter(g)
}

func (s *Server) enter(g *Guild) {
	g.member = true
	s.announceGuild(g)
	data := g.integration()
	data["guild_id"] = g.ID
	s.dispatch(event{name: "INTEGRATION_CREATE", intent: intentIntegrations, guild: g.ID, data: data})
}

// LeaveGuild removes the bot from the guild: GUILD_DELETE.
func (s *Server) LeaveGuild(g *Guild) {
	s.mu.Lock()
	defer s.mu.Unlock()
	g.leave()
}

func (g *Guild) leave() {
	g.member = false
	g.srv.dispatch(event{name: "GUILD_DELETE", intent: intentGuilds, guild: g.ID, data: object{"id": g.ID}})
}

// Outage makes the guild unreachable: GUILD_DELETE with unavailable set, which
// is not a leaving. Recover ends it with a GUILD_CREATE.
func (s *Server) Outage(g *Guild) {
	s.mu.Lock()
	defer s.mu.Unlock()
	g.unavailable = true
	s.dispatch(event{name: "GUILD_DELETE", intent: intentGuilds, guild: g.ID,
		data: object{"id": g.ID, "unavailable": true}})
}

// Recover makes the guild reachable again.
func (s *Server) Recover(g *Guild) {
	s.mu.Lock()
	defer s.mu.Unlock()
	g.unavailable = false
	s.announceGuild(g)
}
