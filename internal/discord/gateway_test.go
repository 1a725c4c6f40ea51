package discord

import (
	"context"
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

// quick is a stage whose heart beats fast and whose bot is as impatient.
func quick(t testing.TB, options discordtest.Options) *scene {
	t.Helper()
	options.Heartbeat, options.IdentifySpacing = 100*time.Millisecond, discordtest.Off
	s := stage(t, options)
	s.hurry()
	return s
}

func (s *scene) hurry() {
	s.bot.spacing = 0
	s.bot.patience.silence, s.bot.patience.opening = 400*time.Millisecond, 700*time.Millisecond
}

// wantAnswers fails the test unless the bot hears and answers.
func (s *scene) wantAnswers(t testing.TB) {
	t.Helper()
	wants(t, s.held(s.ada).Text(), "SHOWS IN TIME: hold 5 s")
}

func (s *scene) wait(t testing.TB, wanted func(discordtest.GatewayCounts) bool) {
	t.Helper()
	if err := s.srv.WaitGateway(9*time.Second, wanted); err != nil {
		t.Fatalf("%v\n%s", err, s.log)
	}
}

func resumed(n int) func(discordtest.GatewayCounts) bool {
	return func(c discordtest.GatewayCounts) bool { return c.Resumes == n && c.Sessions == 1 }
}

func identified(n int) func(discordtest.GatewayCounts) bool {
	return func(c discordtest.GatewayCounts) bool { return c.Identifies == n && c.Sessions == 1 }
}

func TestALostConnectionIsResumed(t *testing.T) {
	t.Parallel()
	for scene, lose := range map[string]func(*discordtest.Server){
		"cut":                  (*discordtest.Server).DropGateway,
		"told to reconnect":    (*discordtest.Server).Reconnect,
		"closed for a restart": func(srv *discordtest.Server) { srv.CloseGateway(1012) },
		"closed as unknown":    func(srv *discordtest.Server) { srv.CloseGateway(4000) },
		"closed as too fast":   func(srv *discordtest.Server) { srv.CloseGateway(4008) },
	} {
		t.Run(scene, func(t *testing.T) {
			s := play(t, discordtest.Options{})
			lose(s.srv)
			s.wait(t, resumed(1))
			s.wantAnswers(t)
			if c := s.srv.Gateway(); c.Identifies != 1 {
				t.Errorf("%+v", c)
			}
		})
	}
}

func TestWhatHappenedMeanwhileIsAnsweredAfterTheResume(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.DropGateway()
	asked := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	s.wait(t, resumed(1))
	wants(t, asked.Message().Text(), "SHOWS IN TIME")
}

func TestTheSessionIsResumedWhereDiscordSays(t *testing.T) {
	s := play(t, discordtest.Options{})
	asked := func() int { return len(s.srv.Requests("GET", "/gateway")) }
	before := asked()
	s.srv.Reconnect()
	s.wait(t, resumed(1))
	// The library asks for the gateway's address again and is answered from READY.
	if asked() != before {
		t.Errorf("asked Discord for the address %d times more", asked()-before)
	}
}

func TestALostSessionIsBegunAnew(t *testing.T) {
	t.Parallel()
	for scene, lose := range map[string]func(*scene){
		"invalidated": func(s *scene) { s.srv.InvalidateSession(false) },
		"timed out": func(s *scene) {
			s.srv.Down()
			s.srv.Clock.Advance(time.Hour)
			s.srv.Up()
		},
		"closed as invalid": func(s *scene) { s.srv.CloseGateway(4009) },
	} {
		t.Run(scene, func(t *testing.T) {
			s := quick(t, discordtest.Options{})
			s.start(t)
			s.ready(t)
			lose(s)
			s.wait(t, identified(2))
			s.wantAnswers(t)
		})
	}
}

func TestAnInvalidSessionThatCanBeResumedIsSurvived(t *testing.T) {
	s := quick(t, discordtest.Options{})
	s.start(t)
	s.ready(t)
	s.srv.InvalidateSession(true)
	s.wait(t, func(c discordtest.GatewayCounts) bool { return c.Sessions >= 1 && c.Identifies+c.Resumes == 2 })
	s.wantAnswers(t)
}

// The welcomes that a gateway has for a bot on a bad day. The library locks
// itself out of some for ever: the watchdog begins anew.
func TestABadWelcomeIsSurvived(t *testing.T) {
	t.Parallel()
	for scene, welcome := range map[string]discordtest.Welcome{
		"an order to reconnect where READY is due": discordtest.ReconnectInsteadOfReady(),
		"an order to reconnect where HELLO is due": discordtest.ReconnectInsteadOfHello(),
		"an order to reconnect before READY":       discordtest.ReconnectBeforeReady(),
		"silence where HELLO is due":               discordtest.NoHello(),
		"silence where READY is due":               discordtest.SilentInsteadOfReady(),
		"an invalid session where READY is due":    discordtest.InvalidInsteadOfReady(false),
		"a close where READY is due":               discordtest.CloseInsteadOfReady(4000),
		"a cut where READY is due":                 discordtest.DropInsteadOfReady(),
		"no acknowledgements":                      discordtest.WithoutAcknowledgements(),
	} {
		t.Run(scene, func(t *testing.T) {
			s := quick(t, discordtest.Options{})
			s.srv.NextConnection(welcome)
			s.start(t)
			s.ready(t)
			s.wantAnswers(t)
		})
	}
}

func TestABadWelcomeAfterALostConnectionIsSurvived(t *testing.T) {
	t.Parallel()
	for scene, welcome := range map[string]discordtest.Welcome{
		"an order to reconnect where RESUMED is due": discordtest.ReconnectInsteadOfReady(),
		"silence where HELLO is due":                 discordtest.NoHello(),
		"silence where RESUMED is due":               discordtest.SilentInsteadOfReady(),
		"an invalid session where RESUMED is due":    discordtest.InvalidInsteadOfReady(false),
		"a close where RESUMED is due":               discordtest.CloseInsteadOfReady(4009),
	} {
		t.Run(scene, func(t *testing.T) {
			s := quick(t, discordtest.Options{})
			s.start(t)
			s.ready(t)
			s.srv.NextConnection(welcome)
			s.srv.DropGateway()
			s.wait(t, func(c discordtest.GatewayCounts) bool {
				return c.Opened >= 2 && c.Sessions == 1 && c.Resumes+c.Identifies >= 2
			})
			s.wantAnswers(t)
		})
	}
}

func TestASilentConnectionIsCutAndResumedWithNothingLost(t *testing.T) {
	s := quick(t, discordtest.Options{})
	s.start(t)
	s.ready(t)
	s.srv.SilenceGateway()
	asked := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	s.wait(t, resumed(1))
	wants(t, asked.Message().Text(), "SHOWS IN TIME")
	wants(t, s.log.String(), "nothing heard of the gateway")
}

func TestTheBotStartsBeforeTheNetworkIsThere(t *testing.T) {
	s := quick(t, discordtest.Options{})
	s.srv.Down()
	s.start(t)
	time.Sleep(300 * time.Millisecond)
	s.srv.Up()
	s.ready(t)
	s.wantAnswers(t)
	wants(t, s.log.String(), "cannot be reached yet")
}

func TestAWrongTokenEndsWithAClearWordAndNoStorm(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.make(t, Settings{Token: "wrong.token.secret"})
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Second)
	defer stop()
	err := s.bot.Run(ctx)
	if err == nil || ctx.Err() != nil {
		t.Fatalf("Run: %v", err)
	}
	wants(t, err.Error(), "Discord does not know the token", "HOLDBENCH_DISCORD_TOKEN")
	if n := s.srv.Refused() + s.srv.Gateway().Refusals; n > 2 {
		t.Errorf("asked %d times in vain", n)
	}
	if text := err.Error() + s.log.String(); strings.Contains(text, "wrong.token") {
		t.Errorf("the token is in\n%s", text)
	}
}

func TestATokenThatIsResetLaterEndsTheProgram(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.hurry()
	ended := make(chan error, 1)
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	go func() { ended <- s.bot.Run(ctx) }()
	s.ready(t)
	s.srv.ResetToken("another")
	select {
	case err := <-ended:
		if err == nil {
			t.Fatal("ended without a word")
		}
		wants(t, err.Error(), "Discord does not know the token")
	case <-time.After(8 * time.Second):
		t.Fatal("tries on")
	}
	if n := s.srv.Gateway().Refusals; n > 2 {
		t.Errorf("%d refusals", n)
	}
}

func TestIntentsThatAreNotAllowedEndTheProgramInWords(t *testing.T) {
	s := quick(t, discordtest.Options{})
	s.srv.NextConnection(discordtest.CloseInsteadOfReady(4014))
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Second)
	defer stop()
	err := s.bot.Run(ctx)
	if err == nil {
		t.Fatal("ended without a word")
	}
	wants(t, err.Error(), "switch the intents on")
}

func TestTheBotWantsNoPrivilegedIntent(t *testing.T) {
	const privileged = 1<<1 | 1<<8 | 1<<15 // members, presences, message content (events/gateway)
	if intents&privileged != 0 {
		t.Errorf("asks for %b", intents&privileged)
	}
}

func TestShardsAreAsManyAsAdvisedAndKeepTheirDistance(t *testing.T) {
	s := stage(t, discordtest.Options{Shards: 2, MaxConcurrency: 2})
	s.bot.spacing = 0
	s.start(t)
	s.wait(t, func(c discordtest.GatewayCounts) bool { return c.Sessions == 2 })
	s.ready(t)
	for i := range 4 { // servers of both shards
		g := s.srv.JoinGuild("more", s.tess)
		g.Join(s.ada)
		until(t, "the server is known", func() bool { return s.bot.servers.here(g.ID) })
		wants(t, s.srv.Command(s.ada, g, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message().Text(), "SHOWS IN TIME")
		_ = i
	}
	wants(t, s.srv.DirectMessage(s.ada, "orrick mid 27g 13mm").Message().Text(), "SHOWS IN TIME")
}

func TestShardsOfOneBucketWaitForOneAnother(t *testing.T) {
	s := stage(t, discordtest.Options{IdentifySpacing: 600 * time.Millisecond})
	s.make(t, Settings{Shards: 3})
	s.bot.spacing = 700 * time.Millisecond
	began := time.Now()
	s.start(t)
	s.wait(t, func(c discordtest.GatewayCounts) bool { return c.Sessions == 3 })
	if took := time.Since(began); took < 1400*time.Millisecond {
		t.Errorf("three shards in %s", took)
	}
}

func TestAllStartsOfTheDaySpentIsWaitedOut(t *testing.T) {
	s := quick(t, discordtest.Options{IdentifyLimit: 1})
	s.start(t)
	s.ready(t)
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	s.make(t, Settings{})
	ctx, stop := context.WithTimeout(context.Background(), 700*time.Millisecond)
	defer stop()
	if err := s.bot.Run(ctx); err != nil {
		t.Fatal(err)
	}
	if c := s.srv.Gateway(); c.Identifies != 1 {
		t.Errorf("%+v", c)
	}
	wants(t, s.log.String(), "no starts left for today")
}

func TestEndingFinishesWhatIsInHand(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Fault(discordtest.Slow(time.Second).On("POST", "/interactions/*/*/callback"))
	asked := s.srv.Command(s.ada, s.guild, "log", discordtest.Opt("product", "Orrick Mid"), discordtest.Opt("instrument", "30G 13 mm needle"), discordtest.Opt("seconds", "4.2"))
	if _, err := asked.Acknowledged(2 * time.Second); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(began); took > 9*time.Second {
		t.Errorf("ending took %s", took)
	}
	wants(t, asked.Message().Text(), "Logged as test 145")
	if c := s.srv.Gateway(); c.Open != 0 {
		t.Errorf("still connected: %+v", c)
	}
}

func TestEndingIsInTimeWhateverHangs(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Fault(discordtest.Slow(time.Minute).On("PATCH", "").Times(-1))
	s.logged(s.ada)
	time.Sleep(300 * time.Millisecond)
	began := time.Now()
	if err := s.leave(); err != nil {
		t.Error(err)
	}
	if took := time.Since(began); took > 9*time.Second {
		t.Errorf("ending took %s", took)
	}
	s.srv.ClearFaults()
}
