package discord

import (
	"context"
	"slices"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// Permissions that make somebody a trainer without the trainer role (topics/permissions).
const (
	permAdministrator = 1 << 3
	permManageServer  = 1 << 5
)

// person is who did something, as Discord says each time: nothing of it is remembered.
type person struct {
	id, name    string
	permissions int64
	told        bool // Discord said which permissions; for messages it does not
	roles       []string
}

// readPerson reads who sent an interaction or a message: the member of a server, or the user of a direct message.
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

// asker makes a person the commands' Asker. Everybody in the server belongs to its group. Trainers are those with its
// trainer role, and those who manage the server, who could give themselves any role. In a direct message nobody is a
// trainer, because Discord names no roles and permissions there; with a message in the server it names roles only.
func (b *Bot) asker(ctx context.Context, env *commands.Env, server string, p person, inServer bool) commands.Asker {
	trainer := inServer && p.permissions&(permAdministrator|permManageServer) != 0
	if inServer && !trainer {
		settings, err := env.Group.Settings(ctx)
		if err != nil {
			b.log.ErrorContext(ctx, "settings cannot be read", "community", server, "error", err)
		}
		role := settings.TrainerRole
		if role == "" {
			known, _ := b.servers.known(server)
			role = known.trainerRole
		}
		trainer = role != "" && slices.Contains(p.roles, role)
	}
	asker := commands.Belonging(p.id, p.name, trainer)
	asker.RoleUnknown = !trainer && !(inServer && p.told)
	return asker
}
