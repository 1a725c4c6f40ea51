package discord

import (
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

const (
	callbackPath = "/interactions/*/*/callback"
	editPath     = "/webhooks/*/*/messages/*"
	postPath     = "/channels/*/messages"
)

func TestAnAnswerGetsThroughWhateverHappensOnTheWay(t *testing.T) {
	t.Parallel()
	faults := map[string]discordtest.Fault{
		"429":           discordtest.RateLimited(300 * time.Millisecond),
		"500":           discordtest.Failing(500),
		"502":           discordtest.Failing(502),
		"503 twice":     discordtest.Failing(503).Times(2),
		"slow":          discordtest.Slow(1500 * time.Millisecond),
		"late":          discordtest.Late(500 * time.Millisecond),
		"cut":           discordtest.Dropped(),
		"the reply cut": discordtest.AnswerLost(),
	}
	for name, fault := range faults {
		t.Run("first answer, "+name, func(t *testing.T) {
			s := play(t, discordtest.Options{})
			if name == "the reply cut" {
				// What was done and what was not looks the same: it is sent again.
				s.srv.ExpectViolation("already been acknowledged")
			}
			s.srv.Fault(fault.On("POST", callbackPath))
			a := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm"))
			wants(t, a.Message().Text(), "NO HOLD: of 7 tests at this pull 6 showed by 10 s")
			if a.Latency() > answerWithin {
				t.Errorf("after %s", a.Latency())
			}
		})
		t.Run("deferred answer, "+name, func(t *testing.T) {
			s := play(t, discordtest.Options{})
			s.srv.Fault(fault.On("PATCH", editPath))
			wants(t, s.logged(s.ada).Message().Text(), "Logged as test 145")
		})
		t.Run("reply, "+name, func(t *testing.T) {
			s := play(t, discordtest.Options{})
			s.srv.Fault(fault.On("POST", postPath))
			wants(t, s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Message().Text(),
				"NO HOLD: of 7 tests at this pull 6 showed by 10 s")
			time.Sleep(200 * time.Millisecond)
			if n := len(s.guild.Channel("general").Messages(s.ada)); n != 2 {
				t.Errorf("%d messages", n)
			}
		})
	}
}

func TestAGlobalLimitIsWaitedOut(t *testing.T) {
	s := play(t, discordtest.Options{})
	until(t, "the welcome is there", func() bool { return len(told(s.guild.Owner)) == 1 }) // or it could be on its way
	s.srv.Fault(discordtest.GloballyRateLimited(700*time.Millisecond).On("POST", postPath))
	first := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	time.Sleep(350 * time.Millisecond) // from now on a request would be a breach
	second := s.srv.Mention(s.tess, s.guild, "orrick mid 27g 13mm")
	// Answers to interactions are exempt.
	s.wantAnswers(t)
	first.Message()
	second.Message()
}

func TestAFloodOfMentionsKeepsToTheLimit(t *testing.T) {
	s := floodScene(t, nil) // 50 requests a second, or the test fails
	var asked []*discordtest.Answer
	for range 80 {
		asked = append(asked, s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm"))
	}
	for _, a := range asked {
		if _, err := a.Wait(10 * time.Second); err != nil {
			t.Fatal(err)
		}
	}
}

func TestAReplyThatIsForbiddenIsNotTriedAgain(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.guild.Channel("general").DenyBot(discordtest.SendMessages)
	asked := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	until(t, "it is told to the log", func() bool {
		return strings.Contains(s.log.String(),
			"a reply did not get through")
	})
	asked.Silence(200 * time.Millisecond)
	if n := len(s.srv.Requests("POST", "/channels/"+s.guild.Channel("general").ID+"/messages")); n != 1 {
		t.Errorf("%d tries", n)
	}
}
