package discord

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// welcomeAgain is how long after a failure a welcome is tried again.
const welcomeAgain = time.Hour

// welcome tells whoever added the bot to a server what to do first, in private and once.
func (b *Bot) welcome(id string, env *commands.Env) {
	ctx, stop := context.WithTimeout(b.life, postLimit)
	defer stop()
	w, err := commands.NewWelcome(ctx, env)
	b.deliver(ctx, id, w, err)
}

// welcoming tries, now and every hour, to deliver the welcomes that were not delivered.
func (b *Bot) welcoming(ctx context.Context) {
	select {
	case <-b.Listed():
	case <-ctx.Done():
		return
	}
	for {
		b.welcomeOpen(ctx)
		select {
		case <-time.After(welcomeAgain):
		case <-ctx.Done():
			return
		}
	}
}

func (b *Bot) welcomeOpen(ctx context.Context) {
	refs, err := b.communities.OpenWelcomes(ctx)
	if err != nil && ctx.Err() == nil {
		b.log.ErrorContext(ctx, "welcomes cannot be read", "error", err)
	}
	for _, id := range refs {
		if !b.servers.here(id) {
			continue
		}
		env, err := b.communities.Visit(ctx, id)
		if err != nil {
			continue // the server was left meanwhile
		}
		w, err := commands.OpenWelcome(ctx, env)
		b.deliver(ctx, id, w, err)
	}
}

// deliver posts a welcome in private, or if that has failed for a day, in the first channel where the bot may post.
func (b *Bot) deliver(ctx context.Context, id string, w *commands.Welcome, err error) {
	if err == nil && w != nil {
		var said string
		switch said, err = b.sayWelcome(ctx, id, w); {
		case err == nil:
			err = w.Said(ctx, said)
		case notThere(err):
			b.log.InfoContext(ctx, "the welcome did not get through and is tried again; /holdbench start shows the "+
				"first steps", "server", id, "closed", api.Refused(err, api.NoDirectMessages), "error", err)
			err = w.NotSaid(ctx)
		}
	}
	if err != nil && ctx.Err() == nil {
		b.log.WarnContext(ctx, "a welcome may or may not have got through", "server", id, "error", err)
	}
}

func (b *Bot) sayWelcome(ctx context.Context, id string, w *commands.Welcome) (said string, err error) {
	u := Unasked{Server: id, Member: b.servers.inviter(id, b.installerWithin), Card: w.Private, Key: w.Key}
	if w.Again {
		u.Since = w.Begun
	}
	if err = ErrUnreachable; u.Member != "" {
		said, err = b.say(ctx, u)
	}
	if err != nil && notThere(err) && w.Late {
		u.Member, u.Card, u.Key = "", w.Open, w.Key+" open"
		return b.sayAnywhere(ctx, u)
	}
	return said, err
}

// notThere reports whether a post certainly was not made.
func notThere(err error) bool { return errors.Is(err, ErrNotPosted) || errors.Is(err, ErrUnreachable) }

// sayAnywhere posts in the first channel of a server where the bot may post, beginning with the channel for Discord's
// own messages.
func (b *Bot) sayAnywhere(ctx context.Context, u Unasked) (id string, err error) {
	server, err := b.client.Get(ctx, discordgo.EndpointGuild(u.Server), discordgo.EndpointGuild(u.Server))
	if err != nil {
		return "", refusedPost(err)
	}
	channels, err := b.client.Get(ctx, discordgo.EndpointGuildChannels(u.Server),
		discordgo.EndpointGuildChannels(u.Server))
	if err != nil {
		return "", refusedPost(err)
	}
	own := server.At("system_channel_id").Text()
	rank := func(n api.Node) int64 {
		if n.At("id").Text() == own {
			return -1
		}
		return n.At("position").Whole()
	}
	ordered := channels.Items()
	slices.SortStableFunc(ordered, func(x, y api.Node) int { return cmp.Compare(rank(x), rank(y)) })
	for _, channel := range ordered {
		u.Channel = channel.At("id").Text()
		if !slices.Contains(postedTo(), int(channel.At("type").Whole())) {
			continue
		}
		if lacks, err := b.lackingIn(ctx, u.Server, u.Channel); err == nil && len(lacks) == 0 {
			return b.say(ctx, u)
		}
	}
	return "", ErrUnreachable
}

// inviter is who added the bot to a server, or after wait the server's owner; "" if neither is known by then.
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
