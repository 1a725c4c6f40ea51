package discord

import (
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

const (
	whiteLip   = "lip gone white after orrick mid 30g 13mm"
	stopNow    = "┃ Stop. Follow the local emergency protocol now. Call for help."
	notAVessel = "┃ Treat it as in a vessel. Do not inject. Follow the local protocol."
)

// wantDirection fails the test unless a message is the direction alone.
func wantDirection(t *testing.T, m discordtest.Message, direction string) {
	t.Helper()
	first, rest, _ := strings.Cut(strings.TrimPrefix(m.Text(), "(only you see this)\n"), "\n")
	if first != direction {
		t.Errorf("the first line is %q", first)
	}
	if strings.Contains(rest, "hold") || strings.Contains(rest, "[") || strings.Contains(rest, "‹") ||
		len(m.Embeds) != 1 || m.Embeds[0].Footer.Text != "" {
		t.Errorf("something stands beside the direction:\n%s", m.Text())
	}
}

func TestAnEmergencyIsHeardByEveryWayIn(t *testing.T) {
	s := play(t, discordtest.Options{})
	wantDirection(t, s.srv.Mention(s.ada, s.guild, whiteLip).Message(), stopNow)
	wantDirection(t, s.srv.DirectMessage(s.ada, "got blood back, can i inject").Message(), notAVessel)
	wantDirection(t, s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", whiteLip)).Message(), stopNow)
	wantDirection(t, s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("product", "vision gone"),
		discordtest.Opt("instrument", "27G 13 mm needle")).Message(), stopNow)
	form := s.srv.Press(s.ada, s.held(s.ada), "log a test of it")
	wantDirection(t, s.srv.SubmitModal(s.ada, form.Modal(), discordtest.Opt("result", "7 s"),
		discordtest.Opt("note", "she has gone blind in one eye")).Message(), stopNow)
	posted := s.srv.Say(s.tess, s.guild, whiteLip).Posted()
	wantDirection(t, s.srv.MessageCommand(s.ada, posted, "Log this test").Message(), stopNow)
}

// The direction comes although the member has asked too much, belongs to no group, or
// the store is gone.
func TestNothingTurnsAnEmergencyAway(t *testing.T) {
	t.Run("over the member's measure", func(t *testing.T) {
		s := play(t, discordtest.Options{})
		for s.bot.limits.Ask(s.guild.ID, s.ada.ID).OK {
		}
		s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Silence(300 * time.Millisecond)
		wantDirection(t, s.srv.Mention(s.ada, s.guild, whiteLip).Message(), stopNow)
		wantDirection(t, s.srv.Mention(s.ada, s.guild, "what do i do").Message(), stopNow)
		wantDirection(t, s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", whiteLip)).Message(), stopNow)
	})
	t.Run("in no group", func(t *testing.T) {
		s := play(t, discordtest.Options{})
		wantDirection(t, s.srv.DirectMessage(s.srv.User("stranger"), whiteLip).Message(), stopNow)
	})
	t.Run("the store is gone", func(t *testing.T) {
		s := play(t, discordtest.Options{})
		if err := s.store.Close(); err != nil {
			t.Fatal(err)
		}
		wantDirection(t, s.srv.Mention(s.ada, s.guild, whiteLip).Message(), stopNow)
		wantDirection(t, s.srv.Mention(s.ada, s.guild, "and now?").Message(), stopNow)
		wantDirection(t, s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", whiteLip)).Message(), stopNow)
	})
}

func TestTheProtocolIsTheSecondLineAndCanBeOpened(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Command(s.tess, s.guild, "trainer settings", discordtest.Opt("protocol",
		"https://example.org/our_protocol")).Message()
	got := s.srv.Mention(s.ada, s.guild, whiteLip).Message()
	wantDirection(t, got, stopNow)
	if second := strings.Split(got.Text(), "\n")[1]; second != "┃ <https://example.org/our_protocol>" {
		t.Errorf("the second line is %q", second)
	}
}
