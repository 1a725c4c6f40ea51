package discord

import (
	"context"
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/groups"
	"holdbench/internal/knowledge"
	"holdbench/internal/outputtest"
)

// stopped is the commands' clock.
func stopped() time.Time { return time.Date(2026, 11, 24, 9, 30, 0, 0, time.UTC) }

// scene is a stand-in with a server, people in it, and the bot connected to it.
// Ada is a member, Tess its trainer: she manages the server.
type scene struct {
	srv   *discordtest.Server
	guild *discordtest.Guild
	ada   *discordtest.User
	tess  *discordtest.User
	bot   *Bot
	store *knowledge.Store
	log   *logbook
	json  *logbook     // the same log in its other form
	clock atomic.Int64 // days that the store's clock has been put forward

	plain map[string]string // ids by what stands for them where what is seen is written down

	leave func() error // ends Run and says what it came to
}

// logbook is the log as text.
type logbook struct{ outputtest.Text }

// brief is the log without what it says of every step.
func (l *logbook) brief() string {
	var lines strings.Builder
	for line := range strings.Lines(l.String()) {
		if !strings.Contains(line, "level=DEBUG") {
			lines.WriteString(line)
		}
	}
	return lines.String()
}

// stage makes the scene with the bot not yet started. Each community begins with
// the demo data.
func stage(t testing.TB, options discordtest.Options) *scene {
	t.Helper()
	if test, is := t.(*testing.T); is {
		test.Parallel() // most of a scene is waiting
	}
	options.NoPings = true
	s := &scene{log: &logbook{}, json: &logbook{}}
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("the bot's log:\n%s", s.log.brief())
		}
	})
	s.srv = discordtest.New(t, options)
	s.guild = s.srv.AddGuild("Bench")
	s.ada, s.tess = s.srv.User("ada"), s.srv.User("tess")
	s.guild.Join(s.ada)
	s.guild.Join(s.tess, s.guild.Role("staff", discordtest.ManageGuild))
	s.open(t)
	s.make(t, Settings{})
	return s
}

// The communities in the template until a server takes them over: the scene's own, and
// the first other one.
const (
	templateRef = "template"
	spareRef    = "spare"
)

// template is a store with the demo community in it, twice, its estimates computed: a
// copy is there sooner than one made anew.
var template = sync.OnceValues(func() ([]byte, error) {
	folder, err := os.MkdirTemp("", "holdbench-template-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	path, ctx := filepath.Join(folder, "bot.db"), context.Background()
	store, err := knowledge.Open(ctx, path, knowledge.WithClock(stopped), knowledge.WithPatience(time.Hour))
	if err != nil {
		return nil, err
	}
	for _, ref := range []string{templateRef, spareRef} {
		group, err := foundDemo(ctx, store, ref, "Bench")
		if err != nil {
			return nil, err
		}
		tested, err := group.Tested(ctx)
		if err != nil {
			return nil, err
		}
		for _, c := range tested {
			if _, err := group.Evidence(ctx, c.Combination, 0); err != nil {
				return nil, err
			}
		}
	}
	if err := store.Close(); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
})

// open opens the scene's store.
func (s *scene) open(t testing.TB) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bot.db")
	data, err := template()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	s.store, err = knowledge.Open(context.Background(), path, knowledge.WithClock(func() time.Time {
		return stopped().AddDate(0, 0, int(s.clock.Load()))
	}), knowledge.WithPatience(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.store.Close(); err != nil {
			t.Error(err)
		}
	})
}

// make makes the scene's bot, in place of an earlier one.
func (s *scene) make(t testing.TB, settings Settings) {
	t.Helper()
	all := &slog.HandlerOptions{Level: slog.LevelDebug}
	log := slog.New(slog.NewMultiHandler(slog.NewTextHandler(s.log, all), slog.NewJSONHandler(s.json, all)))
	communities := &groups.All{
		Store: s.store, Now: stopped, Log: log,
		Found: func(ctx context.Context, ref, name string) (*knowledge.Group, error) {
			from := spareRef
			if ref == s.guild.ID {
				from = templateRef
			}
			if s.store.Adopt(ctx, from, ref) != nil {
				return foundDemo(ctx, s.store, ref, name)
			}
			group, err := s.store.Group(ctx, ref)
			if err != nil {
				return nil, err
			}
			return group, group.UpdateSettings(ctx, func(to *knowledge.Settings) error { to.Name = name; return nil })
		},
	}
	if settings.Token == "" {
		settings.Token = s.srv.Token()
	}
	settings.Transport, settings.FileHost = s.srv.Transport(), s.srv.URL()
	var err error
	if s.bot, err = New(settings, communities, log); err != nil {
		t.Fatal(err)
	}
	s.bot.installerWithin = 200 * time.Millisecond
}

// foundDemo founds a community with the demo data in it.
func foundDemo(ctx context.Context, store *knowledge.Store, ref, name string) (*knowledge.Group, error) {
	group, err := store.Found(ctx, knowledge.NewCommunity{Ref: ref, Name: name, Zone: "Europe/London", Ceiling: 10})
	if err != nil {
		return nil, err
	}
	for _, kind := range []knowledge.FileKind{knowledge.ProductFile, knowledge.InstrumentFile, knowledge.MemberFile,
		knowledge.StockFile, knowledge.TestFile} {
		file, err := os.Open(filepath.Join("..", "..", "config", "demo", string(kind)+".csv"))
		if err != nil {
			return nil, err
		}
		_, err = group.Import(ctx, kind, knowledge.RowsOf(file), knowledge.Importing{})
		file.Close()
		if err != nil {
			return nil, err
		}
	}
	return group, nil
}

// start runs the bot, and ends it with the test.
func (s *scene) start(t testing.TB) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	bot, ended := s.bot, make(chan error, 1) // another may be made in its place
	go func() { ended <- bot.Run(ctx) }()
	s.leave = sync.OnceValue(func() error {
		stop()
		select {
		case err := <-ended:
			return err
		case <-time.After(10 * time.Second):
			return errors.New("Run did not end within 10 s")
		}
	})
	leave := s.leave
	t.Cleanup(func() {
		if err := leave(); err != nil {
			t.Error(err)
		}
	})
}

// play starts a scene and waits until the bot is ready.
func play(t testing.TB, options discordtest.Options) *scene {
	t.Helper()
	s := stage(t, options)
	s.start(t)
	s.ready(t)
	return s
}

// ready waits until the bot is connected, its heart beats and its commands are registered. The library's first beat
// comes from a goroutine of its own: one that is sent late, into a connection that was lost meanwhile, closes the
// next one.
func (s *scene) ready(t testing.TB) {
	t.Helper()
	s.srv.Ready()
	s.wait(t, func(c discordtest.GatewayCounts) bool { return c.Heartbeats >= c.Sessions })
	until(t, "the commands are registered", func() bool { return s.srv.Offered(s.ada, s.guild, "hold") })
}

// until waits for something to come true.
func until(t testing.TB, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(slowness * 15 * time.Second); !is(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("not in time: %s", what)
		}
	}
}

// group is what the server's community knows, once that is founded.
func (s *scene) group(t testing.TB) *knowledge.Group {
	t.Helper()
	s.haveLogs(t, s.guild)
	g, err := s.store.Group(context.Background(), s.guild.ID)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// haveLogs waits until the bot has heard of servers and each has a log.
func (s *scene) haveLogs(t testing.TB, guilds ...*discordtest.Guild) {
	t.Helper()
	for _, guild := range guilds {
		until(t, guild.ID+" is known and has a log", func() bool {
			_, err := s.store.Group(context.Background(), guild.ID)
			return err == nil && s.bot.servers.name(guild.ID) != ""
		})
	}
}

// tests is how many tests are kept.
func (s *scene) tests(t testing.TB) int {
	t.Helper()
	group, err := s.store.Group(context.Background(), s.guild.ID)
	if errors.Is(err, knowledge.ErrNotFound) {
		return 0 // nothing was asked in the server yet
	}
	var tests []knowledge.BenchTest
	if err == nil {
		tests, err = group.Tests(context.Background(), knowledge.TestFilter{State: knowledge.Kept})
	}
	if err != nil {
		t.Fatal(err)
	}
	return len(tests)
}

// wants fails the test unless text holds every part.
func wants(t testing.TB, text string, parts ...string) {
	t.Helper()
	for _, part := range parts {
		if !strings.Contains(text, part) {
			t.Errorf("%q is not in\n%s", part, text)
		}
	}
}

// wantHidden fails the test unless the asker alone sees the message, caveats and
// all.
func wantHidden(t testing.TB, m discordtest.Message, hidden bool) {
	t.Helper()
	if m.Ephemeral != hidden {
		t.Errorf("hidden %t, want %t:\n%s", m.Ephemeral, hidden, m.Text())
	}
	if wantCaveats(t, m); !hidden && strings.Contains(m.Text(), "[caveats in full]") {
		t.Errorf("others read along, and the caveats are cut short:\n%s", m.Text())
	}
}

// wantCaveats: in full where others read along, in few words for the asker alone. A
// direct message may have either: what is said unasked has them in full there, too.
func wantCaveats(t testing.TB, m discordtest.Message) {
	t.Helper()
	full := []string{"No flashback does not mean the tip is outside a vessel.", "tissue is not the bench",
		"not for a similar one", "Local protocol"}
	brief := []string{"No flashback does not mean outside a vessel.", "Bench is the best case", "this set-up only",
		"Local protocol"}
	inFull := strings.Contains(m.Text(), full[1]) // the caveats in full on demand, or said unasked
	switch {
	case inFull:
		wants(t, m.Text(), full...)
	case m.Ephemeral || strings.Contains(m.Text(), "[caveats in full]"):
		wants(t, m.Text(), append(brief, "[caveats in full]")...)
	default:
		wants(t, m.Text(), full...)
	}
}

// idle reports whether the bot has nothing in hand.
func (s *scene) idle() bool { return s.bot.inFlight.wait(0) }
