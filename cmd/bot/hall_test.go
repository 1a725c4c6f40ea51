package main

import (
	"context"
	"fmt"
	"log/slog"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/discord"
	"holdbench/internal/discord/api"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/groups"
	"holdbench/internal/jobs"
	"holdbench/internal/knowledge"
	"holdbench/internal/outputtest"
)

// hall is a server of the platform's stand-in with the demo community in it, the
// bot connected, and its jobs by a clock that is moved by hand. Ada and Bea are
// members, Tess is the trainer.
type hall struct {
	srv            *discordtest.Server
	guild          *discordtest.Guild
	ada, bea, tess *discordtest.User
	servers        *servers
	log            *slog.Logger
	told           *outputtest.Text // what was told to the log

	mu    sync.Mutex
	ahead time.Duration // of the machine's clock
}

func (h *hall) now() time.Time {
	h.mu.Lock()
	defer h.mu.Unlock()
	return time.Now().Add(h.ahead)
}

// pass lets time pass, here and on the platform.
func (h *hall) pass(d time.Duration) {
	h.mu.Lock()
	h.ahead += d
	h.mu.Unlock()
	h.srv.Clock.Advance(d)
}

// noonZone is a zone in which it is about noon, so that no test falls on
// midnight.
func noonZone() string {
	return fmt.Sprintf("Etc/GMT%+d", time.Now().UTC().Hour()-12) // GMT-2 is two hours ahead
}

// aimed points the library to where the stand-ins' transports take its requests
// from. Halls are parallel, and so come after the tests that aim elsewhere within
// this process; a parallel test has to start the program instead.
var aimed = sync.OnceValue(func() error { return api.Aim("https://discord.com") })

func newHall(t *testing.T) *hall { return newHallAt(t, time.Now()) }

// newHallAt is a hall whose clock goes from a time on; the platform's own is the
// machine's.
func newHallAt(t *testing.T, at time.Time) *hall {
	t.Helper()
	t.Parallel() // most of it is waiting
	h := &hall{told: &outputtest.Text{}, ahead: time.Until(at)}
	h.log = slog.New(slog.NewTextHandler(h.told, nil))
	h.srv = discordtest.New(t, discordtest.Options{NoPings: true})
	h.ada, h.bea, h.tess = h.srv.User("ada"), h.srv.User("bea"), h.srv.User("tess")
	store, err := knowledge.Open(t.Context(), filepath.Join(t.TempDir(), "hall.db"), knowledge.WithClock(h.now),
		knowledge.WithPatience(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	h.servers = &servers{opened: opened{store: store, demo: true}}
	h.servers.settings.Community.Zone, h.servers.settings.Hold.CeilingS,
		h.servers.settings.Hold.TargetShare = noonZone(), 10, 0.9
	if err := aimed(); err != nil {
		t.Fatal(err)
	}
	h.servers.bot, err = discord.New(discord.Settings{Token: h.srv.Token(), Transport: h.srv.Transport()},
		&groups.All{Store: store, Now: h.now, Log: h.log, Found: h.servers.found}, h.log)
	if err != nil {
		t.Fatal(err)
	}
	h.run(t)
	return h
}

// run connects the bot, and ends it with the test.
func (h *hall) run(t *testing.T) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- h.servers.bot.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	// The trainer brings the bot in: where nobody is named the bot waits a while for
	// whom to welcome.
	h.srv.Ready()
	h.guild = h.srv.JoinGuild("Bench", h.tess)
	h.guild.Join(h.ada)
	h.guild.Join(h.bea)
	offered(t, h.srv, h.ada, h.guild)
	<-h.servers.bot.Listed()
	settings := h.srv.Command(h.tess, h.guild, "trainer settings",
		discordtest.Opt("reminders", h.guild.Channel("general")),
		discordtest.Opt("day", h.today().Weekday().String()), discordtest.Opt("hour", 8)).Message()
	wants(t, settings.Text(), "**Its day and hour** "+h.today().Weekday().String()+", 08:00")
}

// today is the day where the group is.
func (h *hall) today() time.Time {
	zone, err := time.LoadLocation(noonZone())
	if err != nil {
		panic(err)
	}
	return h.now().In(zone)
}

// tick does what is due.
func (h *hall) tick(t *testing.T) {
	t.Helper()
	h.servers.runner(h.now, h.log).Tick(t.Context())
}

// quiet fails the test if anything was told to the log as an error.
func (h *hall) quiet(t *testing.T) {
	t.Helper()
	for _, line := range strings.Split(h.told.String(), "\n") {
		if strings.Contains(line, "level=ERROR") {
			t.Error(line)
		}
	}
}

// prompts are the bot's messages in the reminder channel.
func (h *hall) prompts() (all []discordtest.Message) {
	for _, m := range h.guild.Channel("general").Messages(h.tess) {
		if m.Author == h.srv.Bot().Name && !m.Ephemeral {
			all = append(all, m)
		}
	}
	return all
}

// private is what the bot has written to somebody, beside welcomes.
func (h *hall) private(u *discordtest.User) (all []discordtest.Message) {
	for _, m := range u.DM().Messages(u) {
		if !strings.Contains(m.Text(), "Holdbench is in") {
			all = append(all, m)
		}
	}
	return all
}

// asks sends a command of a member's and returns the answer.
func (h *hall) asks(u *discordtest.User, command string, options ...discordtest.Option) discordtest.Message {
	return h.srv.Command(u, h.guild, command, options...).Message()
}

func text(s string) discordtest.Option { return discordtest.Opt("text", s) }

// group is what the server's community knows.
func (h *hall) group(t *testing.T) *knowledge.Group {
	t.Helper()
	g, err := h.servers.store.Group(t.Context(), h.guild.ID)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// crashing is a Poster of a program that ends right after it has posted.
type crashing struct{ jobs.Poster }

func (c crashing) Post(ctx context.Context, p jobs.Post) (string, error) {
	if _, err := c.Poster.Post(ctx, p); err != nil {
		return "", err
	}
	panic("the program ends here")
}
