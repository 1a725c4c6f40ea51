package discord

import (
	"context"
	"encoding/json"
	"strconv"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// listed notes the servers of a shard, as READY lists them, and that those which
// are no longer among them were left while nobody listened.
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

// shortestID is how many digits Discord's ids have at the least; other refs are
// of communities that live elsewhere.
const shortestID = 15

func isID(ref string) bool { return len(ref) >= shortestID && asID(ref) > 0 }

// asID is an id as a number; 0 for what is none.
func asID(text string) int64 {
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return 0
	}
	return id
}

// joined notes a server that the bot is in. Its group is founded on first sight.
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

// left notes that the bot is out of a server. A server that cannot be reached is
// not left.
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

// leave notes that a server was left. What its group knows stays for a while.
func (b *Bot) leave(ctx context.Context, id string) {
	if err := b.communities.Leave(ctx, id); err != nil {
		b.log.ErrorContext(ctx, "a server was left, which could not be noted", "server", id, "error", err)
		return
	}
	b.log.InfoContext(ctx, "left", "server", id)
}

// installed notes who brought the bot to a server. Other programs are installed
// in servers, too.
func (b *Bot) installed(raw json.RawMessage) {
	n := api.Read(raw)
	id, user := n.At("guild_id").Text(), n.At("user").At("id").Text()
	me := b.self.Load()
	if id != "" && user != "" && me != nil && n.At("application").At("id").Text() == me.application {
		b.servers.installedBy(id, user)
	}
}

// env is the Env of a server's group. On first sight it is founded, and whoever
// brought the bot there is welcomed: by the process that has the server's shard.
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

// expiring erases what groups knew whose servers were left long enough ago, now
// and each hour.
func (b *Bot) expiring(ctx context.Context) {
	for {
		if _, err := b.communities.Erase(ctx); err != nil && ctx.Err() == nil {
			b.log.ErrorContext(ctx, "what was left could not be erased", "error", err)
		}
		select {
		case <-time.After(time.Hour):
		case <-ctx.Done():
			return
		}
	}
}
