package discordtest

import (
	"net/url"
	"strconv"
	"strings"
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

func leaveGuild(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	g.leave()
	return noContent()
}

func getGuildChannels(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	out := []object{}
	for _, ch := range g.channels {
		if ch.parent == nil {
			out = append(out, ch.json())
		}
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

// listMembers needs the privileged members intent; single members and the
// search do not (gateway/you-might-not-need-a-privileged-intent).
func listMembers(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	if !c.srv.opts.GuildMembers {
		return missingAccess
	}
	return ok(g.find("", limitOf(c.query, 1)))
}

func searchMembers(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	return ok(g.find(c.query.Get("query"), limitOf(c.query, 1)))
}

func (g *Guild) find(start string, limit int) []object {
	out := []object{}
	for _, m := range g.order {
		if len(out) < limit && strings.HasPrefix(strings.ToLower(m.user.Name), strings.ToLower(start)) {
			out = append(out, g.memberJSON(m))
		}
	}
	return out
}

func limitOf(q url.Values, standard int) int {
	n, err := strconv.Atoi(q.Get("limit"))
	if err != nil || n < 1 {
		return standard
	}
	return n
}

// botAdded is the audit log's entry type for a bot's arrival (resources/audit-log).
const botAdded = 28

// getAuditLog tells who brought the bot: entry 28.
func getAuditLog(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	if !g.botMay().Has(ViewAuditLog) {
		return missingPermissions
	}
	entries := []object{}
	if kind := c.query.Get("action_type"); kind == "" || kind == strconv.Itoa(botAdded) {
		entries = append(entries, object{
			"id": c.srv.newID(), "action_type": botAdded, "user_id": g.installer.ID, "target_id": c.srv.bot.ID,
		})
	}
	return ok(object{
		"audit_log_entries": entries, "users": []object{g.installer.json(), c.srv.bot.json()},
		"webhooks": []object{}, "integrations": []object{}, "guild_scheduled_events": []object{},
		"threads": []object{}, "auto_moderation_rules": []object{}, "application_commands": []object{},
	})
}

func getIntegrations(c *call) reply {
	g, bad := guildOf(c)
	if g == nil {
		return bad
	}
	if !g.botMay().Has(ManageGuild) {
		return missingPermissions
	}
	return ok([]object{g.integration()})
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
