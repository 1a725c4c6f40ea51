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

	// WaitForOthers waits until a shard of a bucket may identify without coming
	// within a time of one of another process; nil where there is none.
	WaitForOthers func(ctx context.Context, bucket int, apart time.Duration) error

	Patience Patience
}

// Patience is how long the gateway may keep silent, and how far apart tries are.
type Patience struct {
	Answer  time.Duration // to something that was sent, a heartbeat too
	Silence time.Duration // of a connection, whatever was sent
	Opening time.Duration // of a connection that is being made, between two signs of life
	Stuck   time.Duration // of the library, once the connection is cut: it sleeps for 1 s then
	Settled time.Duration // how long one must last to count as sound
	Longest time.Duration // between two tries
	Spacing time.Duration // between two shards of a bucket that identify
}

// UsualPatience is what is used in earnest. Discord asks for a heartbeat each 41.25 s
// and acknowledges it at once (events/gateway): a connection that has died is noticed
// within one and a half of these, and no try lasts longer than 10 s or waits longer for
// the next. The library waits for five heartbeats, and closes in a way that ends the
// session.
func UsualPatience() Patience {
	return Patience{
		Answer: 10 * time.Second, Silence: time.Minute, Opening: 6500 * time.Millisecond, Stuck: 3 * time.Second,
		Settled: time.Minute, Longest: 10 * time.Second, Spacing: identifySpacing + spacingMargin,
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
	Settings Settings
	client   *api.Client
	handler  Handler
	log      *slog.Logger
	address  atomic.Value // string: the address of the gateway, as Discord last said
	starts   starts
	shards   atomic.Pointer[[]*shard]
}

// New makes a Gateway.
func New(settings Settings, client *api.Client, handler Handler) *Gateway {
	return &Gateway{Settings: settings, client: client, handler: handler, log: client.Log}
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

// ask asks Discord once how to connect, and notes where, and how many starts are left.
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

// follow makes a plan of what Discord advises.
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
	Lost      time.Time // since when it is not connected; zero while it is
	Waits     string    // what it waits for before the next try; "" for nothing
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
		states[i] = Shard{ID: s.ID, Lost: at(&s.lost), Heard: at(&s.connection.heard)}
		states[i].Connected = states[i].Lost.IsZero()
		states[i].Waits, _ = s.waits.Load().(string)
	}
	return states
}

// at is the time that is kept as Unix nanoseconds; zero for 0.
func at(kept *atomic.Int64) time.Time {
	if n := kept.Load(); n != 0 {
		return time.Unix(0, n)
	}
	return time.Time{}
}
