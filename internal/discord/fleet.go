package discord

import (
	"context"
	"errors"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"
)

// intents are what the gateway is asked to tell: servers joined and left, who
// installed the bot, messages that mention it, direct messages. None is
// privileged; what members write to one another is not read.
const intents = discordgo.IntentsGuilds | discordgo.IntentGuildIntegrations | discordgo.IntentsGuildMessages | discordgo.IntentsDirectMessages

// advice is what Discord says about connecting.
type advice struct {
	shards, concurrency int   // shards in all processes together
	own                 []int // those of this process
}

// ask asks Discord how to connect, again and again until there is an answer. An
// error means that none will come, or that ctx has ended.
func (b *Bot) ask(ctx context.Context) (advice, error) {
	for failures := 0; ; failures++ {
		var said *discordgo.GatewayBotResponse
		err := asRefusal(func() (err error) {
			said, err = b.rest.GatewayBot(discordgo.WithContext(ctx), discordgo.WithRetryOnRatelimit(false))
			return err
		}())
		switch {
		case err == nil:
			return b.heed(ctx, said)
		case forGood(err):
			return advice{}, b.hush(fatal(err))
		case ctx.Err() != nil:
			return advice{}, ctx.Err()
		}
		wait := min(time.Second<<min(failures, 10), b.patience.longest)
		b.log.WarnContext(ctx, "Discord cannot be reached yet", "error", b.hush(err), "again_in", wait)
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return advice{}, ctx.Err()
		}
	}
}

// heed takes the advice, and waits where too few starts are left for the day:
// one too many and Discord resets the token.
func (b *Bot) heed(ctx context.Context, said *discordgo.GatewayBotResponse) (advice, error) {
	a := advice{shards: b.settings.Shards, concurrency: said.SessionStartLimit.MaxConcurrency}
	if a.shards == 0 {
		a.shards = max(1, said.Shards)
	}
	a.own = b.settings.ShardIDs
	for id := 0; len(b.settings.ShardIDs) == 0 && id < a.shards; id++ {
		a.own = append(a.own, id)
	}
	limit := said.SessionStartLimit
	if limit.Total == 0 || limit.Remaining >= len(a.own) {
		return a, nil
	}
	wait := time.Duration(limit.ResetAfter) * time.Millisecond
	b.log.WarnContext(ctx, "no starts left for today; waiting", "left", limit.Remaining, "for", wait)
	select {
	case <-time.After(wait):
		return a, nil
	case <-ctx.Done():
		return a, ctx.Err()
	}
}

// sail runs the shards of this process until ctx ends or one of them fails for good.
func (b *Bot) sail(ctx context.Context, a advice) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	gate := newGate(a.concurrency, b.spacing)
	gate.others = b.settings.Introduce
	b.servers.expect(a.shards, a.own)
	fleet := make([]*shard, len(a.own))
	for i, id := range a.own {
		fleet[i] = b.newShard(id, a.shards, gate)
	}
	b.fleet.Store(&fleet)
	var all sync.WaitGroup
	faults := make([]error, len(fleet))
	for i, s := range fleet {
		all.Go(func() {
			if faults[i] = s.run(ctx); faults[i] != nil {
				stop()
			}
		})
	}
	all.Wait()
	return errors.Join(faults...)
}
