package discord

import (
	"context"
	"slices"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// Permissions that make somebody a trainer where no role does
// (topics/permissions).
const (
	permAdministrator = 1 << 3
	permManageServer  = 1 << 5
)

// person is who did something, as Discord tells it each time: nothing of it is
// remembered.
type person struct {
	id, name    string
	permissions int64
	told        bool // what permissions they have; messages leave it out
	roles       []string
}

// readPerson reads the member that a server's interaction or message names, or
// the user of a direct message.
func readPerson(n api.Node) person {
	member := n.At("member")
	user := member.At("user")
	if !user.There() {
		user = n.At("user")
	}
	if !user.There() {
		user = n.At("author") // of a message
	}
	p := person{id: user.At("id").Text(), permissions: member.At("permissions").Whole(),
		told: member.At("permissions").There()}
	for _, name := range []string{member.At("nick").Text(), user.At("global_name").Text(), user.At("username").Text(),
		p.id} {
		if p.name == "" {
			p.name = plain(name, 80)
		}
	}
	for _, role := range member.At("roles").Items() {
		p.roles = append(p.roles, role.Text())
	}
	return p
}

// asker is a person as the commands know one. Whoever is in the server belongs
// to its group; trainers are those with its trainer role, and those who manage
// the server, for they could give themselves any role. In a direct message
// nobody is a trainer: rights are read where they are given; and a message in the
// server tells of roles alone.
func (b *Bot) asker(ctx context.Context, env *commands.Env, server string, p person, inServer bool) commands.Asker {
	trainer := inServer && p.permissions&(permAdministrator|permManageServer) != 0
	if inServer && !trainer {
		settings, err := env.Group.Settings(ctx)
		if err != nil {
			b.log.ErrorContext(ctx, "settings cannot be read", "community", server, "error", err)
		}
		role := settings.TrainerRole
		if role == "" {
			role = b.servers.trainerRole(server)
		}
		trainer = role != "" && slices.Contains(p.roles, role)
	}
	asker := commands.Belonging(p.id, p.name, trainer)
	asker.RoleUnknown = !trainer && !(inServer && p.told)
	return asker
}
