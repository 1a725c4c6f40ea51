package commands

import (
	"context"
	"strings"

	"holdbench/internal/knowledge"
)

// notPermitted says who may use a command that the asker may not.
func notPermitted(who knowledge.Role, asker Asker) string {
	switch {
	case who == knowledge.TrainerRole && asker.RoleUnknown:
		return "It is for the group's trainer. If that is you, use it as a command in the server: here I cannot tell " +
			"who is a trainer."
	case who == knowledge.TrainerRole:
		return "It is for the group's trainer."
	}
	return "It is for members of the group; ask the trainer to admit you."
}

// mayPost refuses a channel that the surface may not post in.
func (env *Env) mayPost(ctx context.Context, channel string) error {
	if env.Lacking == nil || channel == "" {
		return nil
	}
	names, err := env.Lacking(ctx, channel)
	if err != nil || len(names) == 0 {
		return err
	}
	return refuse("Allow it to the bot's role in the channel's own permissions, then set the channel again.",
		"The bot lacks in that channel: %s.", strings.Join(names, ", "))
}
