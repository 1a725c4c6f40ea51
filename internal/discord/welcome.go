package discord

import (
	"context"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// welcome tells whoever brought the bot to a server what to do first, in private
// and once.
func (b *Bot) welcome(id string, env *commands.Env) {
	ctx, stop := context.WithTimeout(b.life, postLimit)
	defer stop()
	user := b.servers.inviter(id, b.installerWithin)
	if user == "" {
		return
	}
	_, err := b.say(ctx, Unasked{Server: id, Member: user, Card: commands.Welcome(ctx, env), Key: "welcome to " + id})
	switch {
	case api.Refused(err, api.NoDirectMessages):
		b.log.InfoContext(ctx, "the welcome is not wanted in private; /holdbench start shows it", "server", id)
	case err != nil:
		b.log.WarnContext(ctx, "the welcome did not get through", "server", id, "error", err)
	}
}

// inviter is who brought the bot to a server, or else its owner; "" if neither is
// known in time.
func (s *servers) inviter(id string, wait time.Duration) string {
	over := false
	timer := time.AfterFunc(wait, func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		over = true
		s.told.Broadcast()
	})
	defer timer.Stop()
	s.mu.Lock()
	defer s.mu.Unlock()
	for {
		if user, known := s.installers.Get(id); known {
			return user
		}
		if over {
			if one := s.in[id]; one != nil {
				return one.owner
			}
			return ""
		}
		s.told.Wait()
	}
}
