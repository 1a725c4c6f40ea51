package discord

import (
	"context"
	"encoding/json"
	"strconv"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// listed notes a shard's servers from READY. Those that are missing were left while the bot was offline.
func (b *Bot) listed(shard, count int, ids []string) {
	b.servers.list(shard, count, ids)
	ctx, stop := context.WithTimeout(b.life, workLimit)
	defer stop()
	refs, err := b.communities.Refs(ctx)
	if err != nil {
		b.log.ErrorContext(ctx, "communities cannot be read", "error", err)
		return
	}
	for _, ref := range refs {
		if isID(ref) && shardOf(ref, count) == shard && !b.servers.here(ref) {
			b.leave(ctx, ref)
		}
	}
}

// shortestID is the length of Discord's shortest ids. Other refs are of communities that are not on Discord.
const shortestID = 15

func isID(ref string) bool { return len(ref) >= shortestID && asID(ref) > 0 }

// asID parses an id; 0 if it is none.
func asID(text string) int64 {
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return 0
	}
	return id
}

// joined notes a server that the bot is in, and founds its group if there is none.
func (b *Bot) joined(raw json.RawMessage) {
	n := api.Read(raw)
	id := n.At("id").Text()
	if id == "" || n.At("unavailable").Yes() {
		return
	}
	b.servers.enter(id, n, b.settings.TrainerRole)
	ctx, stop := context.WithTimeout(b.life, workLimit)
	defer stop()
	if _, err := b.env(ctx, id); err != nil {
		b.log.ErrorContext(ctx, "a server's group cannot be opened", "server", id, "error", err)
	}
}

// left notes that the bot has left a server. A server in an outage has not been left.
func (b *Bot) left(raw json.RawMessage) {
	n := api.Read(raw)
	id := n.At("id").Text()
	if id == "" || n.At("unavailable").Yes() {
		return
	}
	b.servers.exit(id)
	ctx, stop := context.WithTimeout(b.life, workLimit)
	defer stop()
	b.leave(ctx, id)
}

// leave stores that a server was left. Its group's data is erased some time later.
func (b *Bot) leave(ctx context.Context, id string) {
	if err := b.communities.Leave(ctx, id); err != nil {
		b.log.ErrorContext(ctx, "that a server was left could not be stored", "server", id, "error", err)
		return
	}
	b.log.InfoContext(ctx, "left", "server", id)
}

// installed notes who added the bot to a server. The event comes for other applications, too.
func (b *Bot) installed(raw json.RawMessage) {
	n := api.Read(raw)
	id, user := n.At("guild_id").Text(), n.At("user").At("id").Text()
	me := b.self.Load()
	if id != "" && user != "" && me != nil && n.At("application").At("id").Text() == me.application {
		b.servers.installedBy(id, user)
	}
}

// env returns the Env of a server's group. The process that has the server's shard founds a new group, and welcomes
// whoever added the bot.
func (b *Bot) env(ctx context.Context, id string) (*commands.Env, error) {
	if b.servers.elsewhere(id) {
		return b.communities.Visit(ctx, id)
	}
	env, first, err := b.communities.Env(ctx, id, b.servers.name(id))
	if err != nil || !first {
		return env, err
	}
	b.log.InfoContext(ctx, "founded", "server", id)
	b.inBackground("welcome", func() { b.welcome(id, env) })
	return env, nil
}

// expiring erases, now and every hour, the groups whose servers were left long enough ago.
func (b *Bot) expiring(ctx context.Context) {
	for {
		if _, err := b.communities.Erase(ctx); err != nil && ctx.Err() == nil {
			b.log.ErrorContext(ctx, "groups whose servers were left could not be erased", "error", err)
		}
		select {
		case <-time.After(time.Hour):
		case <-ctx.Done():
			return
		}
	}
}
