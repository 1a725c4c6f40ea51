package gateway

import (
	"context"
	"errors"
	"log/slog"
	"strings"
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

	// WaitForOthers waits until a shard of a bucket may identify, at least apart after one of another process; nil
	// where there is one process.
	WaitForOthers func(ctx context.Context, bucket int, apart time.Duration) error

	Patience Patience
}

// Patience is how long to wait for the gateway, and how far apart tries are.
type Patience struct {
	Answer  time.Duration // for an answer to something sent, heartbeats included
	Silence time.Duration // for anything at all, on an open connection
	Opening time.Duration // for the next sign of life, while a connection is opened
	Stuck   time.Duration // for discordgo, once the connection is cut: it sleeps for 1 s then
	Settled time.Duration // how long a connection must last to count as sound
	Longest time.Duration // at most, between two tries
	Spacing time.Duration // at least, between two shards of a bucket that identify
}

// UsualPatience is what the bot uses. Discord asks for a heartbeat every 41.25 s and acknowledges it at once
// (events/gateway). A dead connection is noticed within one and a half of these intervals; no try takes longer than
// 10 s or waits longer for the next. discordgo would wait for five heartbeats and close in a way that ends the
// session.
func UsualPatience() Patience {
	return Patience{
		Answer: 10 * time.Second, Silence: time.Minute, Opening: 6500 * time.Millisecond, Stuck: 3 * time.Second,
		Settled: time.Minute, Longest: 10 * time.Second, Spacing: identifySpacing + spacingMargin,
	}
}

// Source is the shard that an event came from.
type Source struct{ ID, Count int }

// Handler receives events.
type Handler struct {
	// Planned is called before the first connection, with the number of shards in all processes together and the shards
	// of this one.
	Planned func(shards int, own []int)

	// Now is called for each event while discordgo's lock is held, so it must not wait. It reports whether Later is
	// to be called too.
	Now func(Source, *discordgo.Event) (later bool)

	// Later is called for a shard's events one after the other, in their order.
	Later func(Source, *discordgo.Event)
}

// Gateway is a bot's connections to Discord's gateway. It runs once.
type Gateway struct {
	Settings Settings
	client   *api.Client
	handler  Handler
	log      *slog.Logger
	address  atomic.Value // string: the gateway's address, as Discord last said
	starts   starts
	shards   atomic.Pointer[[]*shard]
}

// New makes a Gateway.
func New(settings Settings, client *api.Client, handler Handler) *Gateway {
	return &Gateway{Settings: settings, client: client, handler: handler, log: client.Log}
}

// Run stays connected until ctx ends. It returns an error only if trying again is of no use.
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

// plan says how many shards there are, and how they may identify.
type plan struct {
	shards, concurrency int   // shards in all processes together
	own                 []int // those of this process
}

// plan asks Discord how to connect until there is an answer. An error means that there will be none, or that ctx has
// ended.
func (g *Gateway) plan(ctx context.Context) (plan, error) {
	for failures := 0; ; failures++ {
		said, err := g.ask(ctx)
		switch {
		case err == nil:
			return g.follow(said), nil
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

// ask asks Discord once how to connect, and notes the gateway's address and how many starts are left.
func (g *Gateway) ask(ctx context.Context) (said *discordgo.GatewayBotResponse, err error) {
	ctx, stop := context.WithTimeout(ctx, g.Settings.Patience.Longest)
	defer stop()
	said, err = g.client.Session.GatewayBot(discordgo.WithContext(ctx), discordgo.WithRetryOnRatelimit(false))
	if err != nil {
		return nil, api.AsRefusal(err)
	}
	g.address.Store(strings.TrimRight(said.URL, "/"))
	g.starts.told(said.SessionStartLimit, time.Now())
	return said, nil
}

// follow makes a plan of the settings and Discord's advice.
func (g *Gateway) follow(said *discordgo.GatewayBotResponse) plan {
	p := plan{shards: g.Settings.Shards, concurrency: said.SessionStartLimit.MaxConcurrency, own: g.Settings.ShardIDs}
	if p.shards == 0 {
		p.shards = max(1, said.Shards)
	}
	for id := 0; len(g.Settings.ShardIDs) == 0 && id < p.shards; id++ {
		p.own = append(p.own, id)
	}
	return p
}

// sleep waits, and returns an error if ctx ends first.
func sleep(ctx context.Context, wait time.Duration) error {
	select {
	case <-time.After(wait):
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// runShards runs this process's shards until ctx ends or one of them fails for good.
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

// Shard is the state of one connection.
type Shard struct {
	ID        int
	Connected bool
	Heard     time.Time // when anything last arrived, heartbeat acknowledgements included; zero for never
	Lost      time.Time // since when it is not connected; zero while it is
	Waits     string    // what it waits for before it tries again; "" for nothing
}

// Shards returns the state of each connection; none until Discord has said how many there are to be.
func (g *Gateway) Shards() []Shard {
	shards := g.shards.Load()
	if shards == nil {
		return nil
	}
	states := make([]Shard, len(*shards))
	for i, s := range *shards {
		states[i] = Shard{ID: s.ID, Lost: at(&s.lost), Heard: at(&s.connection.heard)}
		states[i].Connected = states[i].Lost.IsZero()
		states[i].Waits, _ = s.waits.Load().(string)
	}
	return states
}

// at is a time that is stored as Unix nanoseconds; zero for 0.
func at(kept *atomic.Int64) time.Time {
	if n := kept.Load(); n != 0 {
		return time.Unix(0, n)
	}
	return time.Time{}
}
