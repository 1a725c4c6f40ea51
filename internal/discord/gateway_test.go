package discord

import (
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

// quick is a stage whose heart beats fast and whose bot is as impatient.
func quick(t testing.TB, options discordtest.Options) *scene {
	t.Helper()
	options.Heartbeat, options.IdentifySpacing = slowness*400*time.Millisecond, discordtest.Off
	s := stage(t, options)
	s.hurry()
	return s
}

func (s *scene) hurry() {
	p := &s.bot.gateway.Settings.Patience
	p.Spacing = 0
	p.Answer, p.Silence = slowness*300*time.Millisecond, slowness*time.Second
	p.Opening, p.Stuck = slowness*400*time.Millisecond, time.Second+slowness*200*time.Millisecond
}

// wantAnswers fails the test unless the bot hears and answers.
func (s *scene) wantAnswers(t testing.TB) {
	t.Helper()
	wants(t, s.held(s.ada).Text(), "NO HOLD: of 7 tests at this pull 6 showed by 10 s")
}

func (s *scene) wait(t testing.TB, wanted func(discordtest.GatewayCounts) bool) {
	t.Helper()
	if err := s.srv.WaitGateway(slowness*20*time.Second, wanted); err != nil {
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
	wants(t, asked.Message().Text(), "HOLD")
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
	wants(t, asked.Message().Text(), "HOLD")
	wants(t, s.log.String(), "nothing heard from the gateway")
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
