package discord

import (
	"context"
	"strings"
	"testing"
	"time"

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
	wants(t, err.Error(), "switch the intents on")
}

func TestEndingFinishesWhatIsInHand(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Fault(discordtest.Slow(time.Second).On("POST", "/interactions/*/*/callback"))
	asked := s.srv.Command(s.ada, s.guild, "log", discordtest.Opt("product", "Orrick Mid"), discordtest.Opt("instrument", "30G 13 mm needle"), discordtest.Opt("seconds", "4.2"))
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
	if took := time.Since(began); took > slowness*10*time.Second {
		t.Errorf("ending took %s", took)
	}
	s.srv.ClearFaults()
}
