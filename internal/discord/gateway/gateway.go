package gateway

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/api"
)

// Settings are what a connection needs.
type Settings struct {
	Shards   int   // 0: as many as Discord advises
	ShardIDs []int // those of this process, 0 … Shards-1; none: all
	Intents  discordgo.Intent

	// WaitForOthers waits until a shard of a bucket may identify without coming
	// within a time of one of another process; nil where there is none.
	WaitForOthers func(ctx context.Context, bucket int, apart time.Duration) error

	Patience Patience
}

// Patience is how long the gateway may keep silent, and how far apart tries are.
type Patience struct {
	Silence time.Duration // of a connection
	Opening time.Duration // of a connection that is being made
	Settled time.Duration // how long one must last to count as sound
	Longest time.Duration // between two tries
	Spacing time.Duration // between two shards of a bucket that identify
}

// UsualPatience is what is used in earnest. Discord sends a heartbeat
// acknowledgement at least each 45 s or so (events/gateway); two and a half of
// these are more than a hiccup. The library waits for five, and closes in a way
// that ends the session.
func UsualPatience() Patience {
	return Patience{
		Silence: 110 * time.Second, Opening: 40 * time.Second, Settled: time.Minute, Longest: 5 * time.Minute,
		Spacing: identifySpacing + spacingMargin,
	}
}

// Source is the shard that an event came by.
type Source struct{ ID, Count int }

// Handler is told what the gateway tells.
type Handler struct {
	// Planned is called before the first connection: how many shards there are in all
	// processes together, and which of them are here.
	Planned func(shards int, own []int)

	// Now is called where the gateway is read, with the library's lock held: it must
	// not wait. It reports whether Later is to be called too.
	Now func(Source, *discordgo.Event) (later bool)

	// Later is called for the events of a shard one after the other, in their order.
	Later func(Source, *discordgo.Event)
}

// Gateway is a bot's connections to Discord's gateway. It runs once.
type Gateway struct {
	Settings  Settings
	client    *api.Client
	transport http.RoundTripper
	handler   Handler
	log       *slog.Logger
	shards    atomic.Pointer[[]*shard]
}

// New makes a Gateway. Requests go by the client, and for the address of the gateway
// by the transport.
func New(settings Settings, client *api.Client, transport http.RoundTripper, handler Handler) *Gateway {
	return &Gateway{Settings: settings, client: client, transport: transport, handler: handler, log: client.Log}
}

// Run stays connected until ctx ends, and returns an error only where trying on is
// of no use.
func (g *Gateway) Run(ctx context.Context) error {
	p, err := g.plan(ctx)
	if err == nil {
		g.log.InfoContext(ctx, "connecting", "shards", p.own, "of", p.shards)
		err = g.runShards(ctx, p)
	}
	if ctx.Err() != nil {
		return nil
	}
	return err
}

// plan is how to connect.
type plan struct {
	shards, concurrency int   // shards in all processes together
	own                 []int // those of this process
}

// plan asks Discord how to connect, again and again until there is an answer. An
// error means that none will come, or that ctx has ended.
func (g *Gateway) plan(ctx context.Context) (plan, error) {
	for failures := 0; ; failures++ {
		var said *discordgo.GatewayBotResponse
		err := api.AsRefusal(func() (err error) {
			said, err = g.client.Session.GatewayBot(discordgo.WithContext(ctx), discordgo.WithRetryOnRatelimit(false))
			return err
		}())
		switch {
		case err == nil:
			return g.follow(ctx, said)
		case forGood(err):
			return plan{}, g.client.Token.Redacted(fatal(err))
		case ctx.Err() != nil:
			return plan{}, ctx.Err()
		}
		wait := min(time.Second<<min(failures, 10), g.Settings.Patience.Longest)
		g.log.WarnContext(ctx, "Discord cannot be reached yet", "error", g.client.Token.Redacted(err), "again_in", wait)
		if err := sleep(ctx, wait); err != nil {
			return plan{}, err
		}
	}
}

// follow makes a plan of what Discord advises, and waits where too few starts are
// left for the day: one too many and Discord resets the token.
func (g *Gateway) follow(ctx context.Context, said *discordgo.GatewayBotResponse) (plan, error) {
	p := plan{shards: g.Settings.Shards, concurrency: said.SessionStartLimit.MaxConcurrency, own: g.Settings.ShardIDs}
	if p.shards == 0 {
		p.shards = max(1, said.Shards)
	}
	for id := 0; len(g.Settings.ShardIDs) == 0 && id < p.shards; id++ {
		p.own = append(p.own, id)
	}
	limit := said.SessionStartLimit
	if limit.Total == 0 || limit.Remaining >= len(p.own) {
		return p, nil
	}
	wait := time.Duration(limit.ResetAfter) * time.Millisecond
	g.log.WarnContext(ctx, "no starts left for today; waiting", "left", limit.Remaining, "for", wait)
	return p, sleep(ctx, wait)
}

// sleep waits, and returns an error if ctx ends before.
func sleep(ctx context.Context, wait time.Duration) error {
	select {
	case <-time.After(wait):
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// runShards runs the shards of this process until ctx ends or one of them fails for
// good.
func (g *Gateway) runShards(ctx context.Context, p plan) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	queue := newIdentifyQueue(p.concurrency, g.Settings.Patience.Spacing)
	queue.others = g.Settings.WaitForOthers
	g.handler.Planned(p.shards, p.own)
	shards := make([]*shard, len(p.own))
	for i, id := range p.own {
		shards[i] = g.newShard(id, p.shards, queue)
	}
	g.shards.Store(&shards)
	var all sync.WaitGroup
	faults := make([]error, len(shards))
	for i, s := range shards {
		all.Go(func() {
			if faults[i] = s.run(ctx); faults[i] != nil {
				stop()
			}
		})
	}
	all.Wait()
	return errors.Join(faults...)
}

// Shard is how one connection is.
type Shard struct {
	ID        int
	Connected bool
	Heard     time.Time // when anything last came, heartbeat acknowledgements too; zero for never
}

// Shards says how each connection is; none before Discord has said how many there
// are to be.
func (g *Gateway) Shards() []Shard {
	shards := g.shards.Load()
	if shards == nil {
		return nil
	}
	states := make([]Shard, len(*shards))
	for i, s := range *shards {
		states[i] = Shard{ID: s.ID, Connected: s.connected.Load()}
		if at := s.connection.heard.Load(); at != 0 {
			states[i].Heard = time.Unix(0, at)
		}
	}
	return states
}
