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

	// Observe is told of everything that was asked and what became of it, by many
	// goroutines at once; nil for nobody.
	Observe func(Observed)

	// Introduce waits until a shard of a bucket may introduce itself without coming
	// within a time of one of another process; nil where there is none.
	Introduce func(ctx context.Context, bucket int, apart time.Duration) error

	// FileHost is the address of a stand-in whose files may be fetched beside Discord's own, "" for none.
	FileHost string

	// Transport carries every request; http.DefaultTransport if nil.
	Transport http.RoundTripper
}

// Bot is a community's tool in its Discord servers.
type Bot struct {
	settings    Settings
	communities *groups.All
	commands    map[string]*commands.Command
	log         *slog.Logger
	languages   languages
	noGroup     *commands.Env // for words that have nothing to do with any group
	answer      func(context.Context, *commands.Env, commands.Request) commands.Card

	client  *api.Client
	replies *api.Replies
	gateway *gateway.Gateway

	// Discord tells who installed the bot about when it tells of the server; the
	// owner stands in where nobody is named in this time.
	installerWithin time.Duration
	finishWithin    time.Duration // what is in hand at the end

	limits                     *groups.Limits // nil for none
	answerWork, suggestionWork *workQueue
	inFlight                   *inFlight
	ending                     atomic.Bool     // what is asked is told to ask again
	life                       context.Context // of work in hand; longer than that of Run
	cutShort                   context.CancelFunc
	open                       context.Context // of the last words; longer than that of the work
	hangUp                     context.CancelFunc
	sources                    sources
	self                       atomic.Pointer[identity]
	servers                    *servers

	requests      *cache.Cache[string, remembered] // too long for a button, by their keys
	seen          *cache.Cache[string, struct{}]   // interactions and messages that were answered
	chosen        *cache.Cache[string, string]     // the server that somebody asked last, by user
	members       *cache.Cache[string, membership] // by server and user
	lastSuggested *cache.Cache[string, []string]
}

// identity is who the bot is on Discord.
type identity struct{ user, application string }

// How much is done at once, and how much is kept in memory.
// One community has at most a quarter of what is worked on at once, and of what may
// wait: it cannot use more, for eight connections read the store.
const (
	answersAtOnce     = 32
	suggestionsAtOnce = 16
	mostWaiting       = 2000
	mostSuggestions   = 500
	ofOne             = 4
	mostKept          = 5000
	mostSeen          = 20_000
	seenFor           = time.Hour // Discord delivers nothing again after a session that it keeps for some minutes
)

// kept is a cache of so many values by keys of text.
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
		languages: keptLanguages(),
		settings:  settings, communities: communities, commands: map[string]*commands.Command{}, log: log,
		noGroup: communities.WithoutGroup(log), answer: commands.Answer,
		installerWithin: 3 * time.Second, finishWithin: finishWithin,
		answerWork: newWorkQueue(answersAtOnce, mostWaiting).shared(answersAtOnce/ofOne, mostWaiting/ofOne),
		suggestionWork: newWorkQueue(suggestionsAtOnce, mostSuggestions).shared(suggestionsAtOnce/ofOne,
			mostSuggestions/ofOne),
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

// connectThrough makes what carries requests and answers, by a transport.
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

// patientTransport is the usual one, with room for as many connections as there
// are answers on their way at once.
func patientTransport() http.RoundTripper {
	t := http.DefaultTransport.(*http.Transport).Clone()
	t.MaxIdleConnsPerHost = answersAtOnce + suggestionsAtOnce
	return t
}

// Alone reports whether a server is the only one that the bot is in.
func (b *Bot) Alone(server string) bool { return b.servers.alone(server) }

// connect connects, and stays so until ctx ends. Nothing of it uses the store
// afterwards.
func (b *Bot) connect(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	var beside sync.WaitGroup
	beside.Go(func() { b.expiring(ctx) })
	beside.Go(func() { b.welcoming(ctx) })
	defer beside.Wait()
	defer stop()
	return b.gateway.Run(ctx)
}
