package discordtest

import (
	"net/url"
	"strconv"
)

// guildOf finds the guild of a call as far as the bot is in it.
func guildOf(c *call) (*Guild, reply) {
	g := c.srv.guilds[c.params["guild"]]
	switch {
	case g == nil:
		return nil, unknownGuild
	case !g.member:
		return nil, missingAccess
	}
	return g, reply{}
}

func getGuild(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	return ok(g.json())
}

func getOwnGuilds(c *call) reply {
	out := []object{}
	for _, g := range c.srv.guildOrder {
		if g.member {
			out = append(out, object{
				"id": g.ID, "name": g.Name, "icon": nil, "owner": false,
				"permissions": g.botMay().String(), "features": []string{},
			})
		}
	}
	return ok(out)
}

func getGuildChannels(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	out := []object{}
	for _, ch := range g.channels {
		out = append(out, ch.json())
	}
	return ok(out)
}

func getRoles(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	return ok(g.json()["roles"])
}

func getMember(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	if c.params["user"] == c.srv.bot.ID {
		return ok(g.memberJSON(g.botMember()))
	}
	m := g.members[c.params["user"]]
	if m == nil {
		return unknownMember
	}
	return ok(g.memberJSON(m))
}

func limitOf(q url.Values, standard int) int {
	n, err := strconv.Atoi(q.Get("limit"))
	if err != nil || n < 1 {
		return standard
	}
	return n
}

// integration is the bot as the guild's settings list it, with who added it.
func (g *Guild) integration() object {
	s := g.srv
	return object{
		"id": g.ID, "name": s.opts.Name, "type": "discord", "enabled": true, "user": g.installer.json(),
		"account": object{"id": s.bot.ID, "name": s.opts.Name}, "scopes": []string{"bot", "applications.commands"},
		"application": object{"id": s.app["id"], "name": s.opts.Name, "icon": nil, "description": "",
			"bot": s.bot.json()},
	}
}
