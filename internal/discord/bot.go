package discord

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/cache"
	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
	"holdbench/internal/discord/gateway"
	"holdbench/internal/groups"
)

// Settings are what a connection needs.
type Settings struct {
	Token       string // required; without "Bot "
	Shards      int    // 0: as many as Discord advises
	ShardIDs    []int  // those of this process, 0 … Shards-1; none: all. The others are in processes on the same store
	TrainerRole string // name or id of the role whose holders are trainers where a server has set none; "" for none

	// Observe is called for everything that was asked, by many goroutines at once; nil for nobody.
	Observe func(Observed)

	// Introduce waits until a shard of a bucket may identify, at least apart after one of another process; nil where
	// there is one process.
	Introduce func(ctx context.Context, bucket int, apart time.Duration) error

	// FileHost is a host whose files may be fetched beside those of Discord's file host, as api.Files returns it.
	FileHost string

	// Transport carries every request; http.DefaultTransport if nil.
	Transport http.RoundTripper
}

// Bot answers in Discord servers.
type Bot struct {
	settings    Settings
	communities *groups.All
	commands    map[string]*commands.Command
	log         *slog.Logger
	languages   languages
	noGroup     *commands.Env // for answers that concern no group
	answer      func(context.Context, *commands.Env, commands.Request) commands.Card

	client  *api.Client
	replies *api.Replies
	gateway *gateway.Gateway

	// Discord names who installed the bot at about the time of joining the server. If it names nobody within
	// installerWithin, the owner stands in.
	installerWithin time.Duration
	finishWithin    time.Duration // how long work under way may take once the program ends

	limits                     *groups.Limits // nil for none
	answerWork, suggestionWork *workQueue
	inFlight                   *inFlight
	ending                     atomic.Bool     // whoever asks is told to ask again
	life                       context.Context // of work under way; it ends after Run's
	cutShort                   context.CancelFunc
	open                       context.Context // of the last messages; it ends after that of the work
	hangUp                     context.CancelFunc
	sources                    sources
	self                       atomic.Pointer[identity]
	servers                    *servers

	requests      *cache.Cache[string, remembered] // by key: those that are too long for a button
	seen          *cache.Cache[string, struct{}]   // interactions and messages that were answered
	chosen        *cache.Cache[string, string]     // by user: the server they asked last
	members       *cache.Cache[string, membership] // by server and user
	lastSuggested *cache.Cache[string, []string]   // by server, user and option
}

// identity is the bot's ids on Discord.
type identity struct{ user, application string }

// How much is done at once, and how much is kept in memory. One community gets at most a quarter of the work at hand
// and of the waiting places. It could not use more: eight connections read the store.
const (
	answersAtOnce      = 32
	suggestionsAtOnce  = 16
	mostWaiting        = 2000 // answers
	mostSuggestions    = 500  // waiting
	communitiesToShare = 4
	mostKept           = 5000
	mostSeen           = 20_000
	seenFor            = time.Hour // Discord repeats events within a session, which it keeps for some minutes
)

// kept makes a cache of that many values.
func kept[V any](most int) *cache.Cache[string, V] { return cache.Counted[string, V](most, 0, nil) }

// New makes a Bot. api.Aim must have been called before.
func New(settings Settings, communities *groups.All, log *slog.Logger) (*Bot, error) {
	if settings.Token == "" {
		return nil, errors.New("no token")
	}
	transport := settings.Transport
	if transport == nil {
		transport = patientTransport()
	}
	b := &Bot{
		languages: shippedLanguages(),
		settings:  settings, communities: communities, commands: map[string]*commands.Command{}, log: log,
		noGroup: communities.WithoutGroup(log), answer: commands.Answer,
		installerWithin: 3 * time.Second, finishWithin: finishWithin,
		answerWork: newWorkQueue(room{answersAtOnce, mostWaiting},
			room{answersAtOnce / communitiesToShare, mostWaiting / communitiesToShare}),
		suggestionWork: newWorkQueue(room{suggestionsAtOnce, mostSuggestions},
			room{suggestionsAtOnce / communitiesToShare, mostSuggestions / communitiesToShare}),
		limits:   groups.NewLimits(time.Now),
		inFlight: newInFlight(), servers: newServers(),
		requests: kept[remembered](mostKept), seen: cache.Counted[string, struct{}](mostSeen, seenFor, time.Now),
		chosen: kept[string](mostKept), members: kept[membership](mostKept), lastSuggested: kept[[]string](mostKept),
	}
	b.open, b.hangUp = context.WithCancel(context.Background())
	b.life, b.cutShort = context.WithCancel(b.open)
	for _, cmd := range commands.All() {
		b.commands[cmd.Name] = cmd
	}
	b.connectThrough(transport)
	communities.Lacking = b.lackingIn
	return b, nil
}

// connectThrough makes the clients and the gateway, which all use transport.
func (b *Bot) connectThrough(transport http.RoundTripper) {
	token, limited := api.Token(b.settings.Token), api.Limited(transport)
	session := api.NewSession(token, &http.Client{Transport: limited, Timeout: time.Minute})
	b.client = &api.Client{Session: session, Token: token, Log: b.log}
	b.replies = api.NewReplies(transport, session.UserAgent)
	b.gateway = gateway.New(gateway.Settings{
		Shards: b.settings.Shards, ShardIDs: b.settings.ShardIDs, Intents: intents,
		WaitForOthers: b.settings.Introduce, Patience: gateway.UsualPatience(),
	}, b.client, gateway.Handler{
		Planned: b.servers.expect,
		Now:     b.event,
		Later:   func(from gateway.Source, e *discordgo.Event) { b.handle(from, e, time.Now()) },
	})
}

// patientTransport is http.DefaultTransport with enough idle connections for all answers that are sent at once.
func patientTransport() http.RoundTripper {
	t := http.DefaultTransport.(*http.Transport).Clone()
	t.MaxIdleConnsPerHost = answersAtOnce + suggestionsAtOnce
	return t
}

// connect stays connected until ctx ends. Once it returns, nothing that it started uses the store.
func (b *Bot) connect(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	var beside sync.WaitGroup
	beside.Go(func() { b.expiring(ctx) })
	beside.Go(func() { b.welcoming(ctx) })
	defer beside.Wait()
	defer stop()
	return b.gateway.Run(ctx)
}
