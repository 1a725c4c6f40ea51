package discord

import (
	"context"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

func TestAWrongTokenEndsWithAClearWordAndNoStorm(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.make(t, Settings{Token: "wrong.token.secret"})
	ctx, stop := context.WithTimeout(context.Background(), slowness*10*time.Second)
	defer stop()
	err := s.bot.Run(ctx)
	if err == nil || ctx.Err() != nil {
		t.Fatalf("Run: %v", err)
	}
	wants(t, err.Error(), "Discord does not know the token", "HOLDBENCH_DISCORD_TOKEN to the bot token of")
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
	case <-time.After(slowness * 20 * time.Second):
		t.Fatal("tries on")
	}
	if n := s.srv.Gateway().Refusals; n > 2 {
		t.Errorf("%d refusals", n)
	}
}

func TestIntentsThatAreNotAllowedEndTheProgramInWords(t *testing.T) {
	s := quick(t, discordtest.Options{})
	s.srv.NextConnection(discordtest.CloseInsteadOfReady(4014))
	ctx, stop := context.WithTimeout(context.Background(), slowness*10*time.Second)
	defer stop()
	err := s.bot.Run(ctx)
	if err == nil {
		t.Fatal("ended without a word")
	}
	wants(t, err.Error(), "switch them on")
}

func TestEndingFinishesWhatIsInHand(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Fault(discordtest.Slow(time.Second).On("POST", "/interactions/*/*/callback"))
	asked := s.srv.Command(s.ada, s.guild, "log", discordtest.Opt("product", "Orrick Mid"),
		discordtest.Opt("instrument", "30G 13 mm needle"), discordtest.Opt("seconds", "4.2"))
	if _, err := asked.Acknowledged(slowness * 3 * time.Second); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(began); took > slowness*10*time.Second {
		t.Errorf("ending took %s", took)
	}
	wants(t, asked.Message().Text(), "Logged as test 145")
	// the stand-in sees the end of the connection when it next reads
	if err := s.srv.WaitGateway(slowness*10*time.Second, func(c discordtest.GatewayCounts) bool { return c.Open == 0 }); err != nil {
		t.Error(err)
	}
}

func TestEndingIsInTimeWhateverHangs(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.bot.finishWithin = 300 * time.Millisecond
	s.srv.Fault(discordtest.Slow(time.Minute).On("PATCH", "").Times(-1))
	s.logged(s.ada)
	until(t, "it is stored", func() bool { return s.tests(t) == 145 })
	began := time.Now()
	if err := s.leave(); err != nil {
		t.Error(err)
	}
	if took := time.Since(began); took > slowness*10*time.Second {
		t.Errorf("ending took %s", took)
	}
	s.srv.ClearFaults()
	wants(t, told(s.ada)[0].Text(), "was stored as test 145") // whether the answer came through nobody knows
}

// held up: a question is being answered until it is let go, or stopped.
func (s *scene) heldUp(t *testing.T, finishWithin time.Duration) (asked *discordtest.Answer, letGo func()) {
	t.Helper()
	begun, free := make(chan bool, 1), make(chan bool)
	s.bot.answer = func(ctx context.Context, env *commands.Env, req commands.Request) commands.Card {
		begun <- true
		select {
		case <-free:
		case <-ctx.Done():
		}
		return commands.Answer(ctx, env, req)
	}
	s.bot.finishWithin = finishWithin
	s.start(t)
	s.ready(t)
	asked = s.logged(s.ada)
	<-begun
	return asked, func() { close(free) }
}

func TestWhatComesWhileTheBotEndsIsToldToAskAgain(t *testing.T) {
	s := stage(t, discordtest.Options{})
	first, letGo := s.heldUp(t, slowness*10*time.Second)
	ended := make(chan error, 1)
	go func() { ended <- s.leave() }()
	until(t, "it is ending", s.bot.ending.Load)
	for scene, asked := range map[string]*discordtest.Answer{
		"a command":        s.logged(s.ada),
		"a mention":        s.srv.Mention(s.ada, s.guild, "log orrick mid 30G 13 mm 6.4 s"),
		"a direct message": s.srv.DirectMessage(s.ada, "orrick mid 27g 13mm"),
	} {
		text := asked.Message().Text()
		if !strings.Contains(text, "The bot is being restarted.") ||
			!strings.Contains(text, "Nothing was stored. Please ask again") {
			t.Errorf("%s: %s", scene, text)
		}
	}
	wants(t, s.srv.Mention(s.ada, s.guild, "she is blind in one eye after the injection").Message().Text(), "emergency")
	if got := s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "orrick").Choices(); len(got) != 1 {
		t.Errorf("suggests %v", got)
	}
	letGo()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	wants(t, first.Message().Text(), "Logged as test 145")
	if n := s.tests(t); n != 145 {
		t.Errorf("%d tests, want one more than 144", n)
	}
}

func TestNothingIsLeftThinkingWhenWorkIsCutShort(t *testing.T) {
	s := stage(t, discordtest.Options{})
	asked, _ := s.heldUp(t, 100*time.Millisecond)
	if !asked.Deferred() {
		t.Fatal("not deferred")
	}
	if err := s.leave(); err != nil {
		t.Error(err)
	}
	wants(t, asked.Message().Text(), "That took too long and was stopped.", "Please ask again.")
	if n := s.tests(t); n != 144 {
		t.Errorf("%d tests, want 144", n)
	}
}
