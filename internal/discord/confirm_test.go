package discord

import (
	"context"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

// unheard is a scene in which Discord takes no answer of a kind any more.
func unheard(t *testing.T, fault discordtest.Fault, breaches ...string) *scene {
	t.Helper()
	s := play(t, discordtest.Options{IdentifySpacing: discordtest.Off})
	until(t, "the welcome is there", func() bool { return len(told(s.guild.Owner)) == 1 })
	for _, breach := range breaches {
		s.srv.ExpectViolation(breach)
	}
	s.srv.Fault(fault.Times(-1))
	return s
}

// Each command that changes something is deferred before it is done.
func TestWhatChangesSomethingIsDeferred(t *testing.T) {
	b := looseBot(t)
	for _, name := range []string{"log", "bench results", "record withdraw", "record restore", "totest take",
		"totest release", "bench aside", "bench box", "stock add", "stock remove", "trainer gels add",
		"trainer settings",
		"trainer gels rename", "trainer gels merge", "trainer checked", "me choices", "me erase"} {
		if !b.slow(name) {
			t.Errorf("/%s is done before Discord has taken it", name)
		}
	}
}

// What Discord never hears of is not stored: the member reads that the bot did not
// respond, and logs the test once more.
func TestWhatDiscordDoesNotHearOfIsNotStored(t *testing.T) {
	t.Parallel()
	const late, edited = "no answer within", "has no first answer"
	for scene, c := range map[string]struct {
		fault    discordtest.Fault
		breaches []string // what cannot be known from here is tried all the same
	}{
		"429":  {discordtest.RateLimited(5 * time.Second), []string{late}},
		"503":  {discordtest.Failing(503), []string{late, edited}},
		"cut":  {discordtest.Dropped(), []string{late, edited}},
		"late": {discordtest.Late(answerWithin + 100*time.Millisecond), []string{late, edited}},
	} {
		t.Run(scene, func(t *testing.T) {
			s := unheard(t, c.fault.On("POST", callbackPath), c.breaches...)
			asked := s.logged(s.ada)
			if _, err := asked.Wait(slowness * 5 * time.Second); err == nil {
				t.Error("answered")
			}
			until(t, "it is put away", s.idle)
			if n := s.tests(t); n != 144 || len(told(s.ada)) != 0 {
				t.Errorf("%d tests, want 144; told %d times", n, len(told(s.ada)))
			}
		})
	}
}

// The deferral came through and the answer does not.
func TestWhatIsStoredIsConfirmedInPrivateWhereItsAnswerIsLost(t *testing.T) {
	s := unheard(t, discordtest.Failing(404).On("PATCH", editPath))
	s.logged(s.ada)
	until(t, "it is confirmed", func() bool { return len(told(s.ada)) == 1 })
	s.srv.ClearFaults()
	got := told(s.ada)[0]
	wants(t, got.Text(), "Your 24.1 s of 09:30 was stored as test 145 of Dunmere Deep, 27G 13 mm needle, supplied "+
		"syringe.",
		"The answer to it did not get through.", "Logged as test 145", "[take it back]")
	wantCaveats(t, got)
	wants(t, s.srv.Press(s.ada, got, "take it back").Message().Text(), "Test 145 no longer counts")
	if text := s.held(s.ada).Text(); strings.Contains(text, "was stored") {
		t.Errorf("confirmed twice:\n%s", text)
	}
}

func TestWhatCannotBeConfirmedInPrivateStandsBeforeTheNextAnswer(t *testing.T) {
	s := unheard(t, discordtest.Failing(404).On("PATCH", editPath))
	s.ada.CloseDMs()
	s.logged(s.ada)
	until(t, "it is told to the log", func() bool { return strings.Contains(s.log.String(), "is not confirmed yet") })
	s.srv.ClearFaults()
	s.again(t) // a restart in between
	if text := s.held(s.tess).Text(); strings.Contains(text, "was stored") {
		t.Errorf("told to somebody else:\n%s", text)
	}
	next := s.held(s.ada)
	wants(t, next.Text(), "**Your 24.1 s of 09:30 was stored as test 145 of Dunmere Deep", "[take test 145 back]",
		"NO HOLD")
	if again := s.held(s.ada).Text(); strings.Contains(again, "was stored") {
		t.Errorf("told twice:\n%s", again)
	}
	wants(t, s.srv.Press(s.ada, next, "take test 145 back").Message().Text(), "Test 145 no longer counts")
}

// Work that is not deferred at first is done before Discord hears of it.
func TestWhatIsStoredBeforeTheFirstAnswerIsConfirmed(t *testing.T) {
	s := stage(t, discordtest.Options{})
	quick := *s.bot.commands["bench aside"]
	quick.Quick = true
	s.bot.commands["bench aside"] = &quick
	s.start(t)
	s.ready(t)
	s.srv.ExpectViolation("no answer within")
	s.srv.Fault(discordtest.RateLimited(5*time.Second).On("POST", callbackPath).Times(-1))
	asked := s.srv.Command(s.ada, s.guild, "bench aside", discordtest.Opt("text", "orrick mid 30G 13 mm"))
	until(t, "it is confirmed", func() bool { return len(told(s.ada)) == 1 })
	if _, err := asked.Wait(slowness * 5 * time.Second); err == nil {
		t.Error("answered")
	}
	wants(t, told(s.ada)[0].Text(), "Your B-1 (Orrick Mid, 30G 13 mm needle", "of 09:30 was noted as put aside.")
}

func TestATestLoggedByAMessageIsConfirmedWhereTheReplyIsRefused(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.guild.Channel("general").DenyBot(discordtest.SendMessages)
	s.srv.Mention(s.ada, s.guild, "log orrick mid 30G 13 mm 6.4 s")
	until(t, "it is confirmed", func() bool { return len(told(s.ada)) == 1 })
	wants(t, told(s.ada)[0].Text(), "Your 6.4 s of 09:30 was stored as test 145", "[take it back]")
}

// Work that turned out to take long is stopped when Discord does not take the deferral.
func TestWorkThatNobodyWaitsForIsStopped(t *testing.T) {
	s := stage(t, discordtest.Options{})
	stopped := make(chan error, 1)
	s.bot.answer = func(ctx context.Context, _ *commands.Env, _ commands.Request) commands.Card {
		select {
		case <-ctx.Done():
			stopped <- ctx.Err()
		case <-time.After(slowness * 10 * time.Second):
			stopped <- nil
		}
		return commands.Card{Title: "too late", Refused: true}
	}
	s.start(t)
	s.ready(t)
	s.srv.ExpectViolation("no answer within")
	s.srv.Fault(discordtest.RateLimited(5*time.Second).On("POST", callbackPath).Times(-1))
	asked := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm"))
	if err := <-stopped; err == nil {
		t.Error("the work went on")
	}
	if _, err := asked.Wait(slowness * 5 * time.Second); err == nil {
		t.Error("answered")
	}
}
