package discordtest_test

import (
	"errors"
	"net/http"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

// needed are the intents of a bot that answers commands, mentions and direct
// messages.
const needed = discordgo.IntentsGuilds | discordgo.IntentsGuildMessages | discordgo.IntentsDirectMessages

// client is a discordgo session for the stand-in, not yet open.
func client(t testing.TB, srv *discordtest.Server) *discordgo.Session {
	t.Helper()
	dg, err := discordgo.New("Bot " + srv.Token())
	if err != nil {
		t.Fatal(err)
	}
	dg.Client = &http.Client{Transport: srv.Transport(), Timeout: 20 * time.Second}
	dg.Identify.Intents = needed
	dg.LogLevel = -1
	dg.StateEnabled = false // the cache changes the events that handlers hold: a race
	return dg
}

// open connects a session and closes it with the test.
func open(t testing.TB, srv *discordtest.Server, dg *discordgo.Session) *discordgo.Session {
	t.Helper()
	before := srv.Gateway().Heartbeats
	if err := dg.Open(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { hangUp(t, srv, dg) })
	srv.Ready()
	// A connection that breaks before the library's first heartbeat sends it
	// into an endless loop: the heartbeat of the old one closes the new one.
	waitGateway(t, srv, func(c discordtest.GatewayCounts) bool { return c.Heartbeats > before })
	return dg
}

// hangUp closes the session. The library sleeps a second after its close frame;
// the test need only wait until the stand-in has seen that.
func hangUp(t testing.TB, srv *discordtest.Server, dg *discordgo.Session) {
	before := srv.Gateway().Open
	done := make(chan error, 1)
	go func() { done <- dg.Close() }()
	if before == 0 {
		<-done
		return
	}
	if err := srv.WaitGateway(30*time.Second, func(c discordtest.GatewayCounts) bool { return c.Open < before }); err != nil {
		t.Error(err)
	}
}

// scene is a stand-in with a guild, a member, and a bot with one command.
type scene struct {
	srv   *discordtest.Server
	dg    *discordgo.Session
	guild *discordtest.Guild
	ada   *discordtest.User
}

// hold is a command as a bot would declare it.
func hold() *discordgo.ApplicationCommand {
	least := 1.0
	return &discordgo.ApplicationCommand{
		Name: "hold", Description: "How long to hold",
		Options: []*discordgo.ApplicationCommandOption{
			{Type: discordgo.ApplicationCommandOptionString, Name: "product", Description: "the gel", Required: true,
				Autocomplete: true},
			{Type: discordgo.ApplicationCommandOptionInteger, Name: "by", Description: "seconds", MinValue: &least,
				MaxValue: 120, Autocomplete: true},
		},
	}
}

// play makes a scene whose bot answers each interaction with what handle does.
func play(t testing.TB, options discordtest.Options, handle func(*discordgo.Session,
	*discordgo.InteractionCreate)) scene {
	t.Helper()
	if options.Deadline == 0 {
		options.Deadline = time.Minute // a busy machine must not fail tests that are about something else
	}
	srv := discordtest.New(t, options)
	s := scene{srv: srv, guild: srv.AddGuild("Bench"), ada: srv.User("ada")}
	s.guild.Join(s.ada)
	s.dg = client(t, srv)
	if handle != nil {
		s.dg.AddHandler(handle)
	}
	open(t, srv, s.dg)
	s.register(t, hold())
	return s
}

// register overwrites the bot's global commands.
func (s scene) register(t testing.TB, commands ...*discordgo.ApplicationCommand) {
	t.Helper()
	if _, err := s.dg.ApplicationCommandBulkOverwrite(s.srv.ApplicationID(), "", commands); err != nil {
		t.Fatal(err)
	}
}

// respond answers an interaction and fails the test if the platform refuses.
func respond(t testing.TB, dg *discordgo.Session, i *discordgo.InteractionCreate,
	kind discordgo.InteractionResponseType, data *discordgo.InteractionResponseData) {
	t.Helper()
	if err := dg.InteractionRespond(i.Interaction, &discordgo.InteractionResponse{Type: kind, Data: data}); err != nil {
		t.Error(err)
	}
}

// say answers every interaction with the same message.
func say(t testing.TB, data *discordgo.InteractionResponseData) func(*discordgo.Session, *discordgo.InteractionCreate) {
	return func(dg *discordgo.Session, i *discordgo.InteractionCreate) {
		respond(t, dg, i, discordgo.InteractionResponseChannelMessageWithSource, data)
	}
}

// watch calls the test's goroutine when events of the name arrive.
func watch[T any](dg *discordgo.Session) <-chan T {
	out := make(chan T, 1000)
	dg.AddHandler(func(_ *discordgo.Session, v T) { out <- v })
	return out
}

// next waits for the next event.
func next[T any](t testing.TB, from <-chan T) T {
	t.Helper()
	select {
	case v := <-from:
		return v
	case <-time.After(30 * time.Second):
		t.Fatal("no event came")
		panic("unreachable")
	}
}

// none checks that no event comes within a while.
func none[T any](t testing.TB, from <-chan T) {
	t.Helper()
	select {
	case v := <-from:
		t.Errorf("an event came that should not: %+v", v)
	case <-time.After(200 * time.Millisecond):
	}
}

// wantStatus checks the answer the platform gave: status and its own code.
func wantStatus(t testing.TB, err error, status, code int) {
	t.Helper()
	var refused *discordgo.RESTError
	if !errors.As(err, &refused) {
		t.Errorf("got error %v, want status %d", err, status)
		return
	}
	got := 0
	if refused.Message != nil {
		got = refused.Message.Code
	}
	if refused.Response.StatusCode != status || got != code {
		t.Errorf("got %d, code %d (%s); want %d, code %d", refused.Response.StatusCode, got, refused.ResponseBody,
			status, code)
	}
}
