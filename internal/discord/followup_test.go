package discord

import (
	"strings"
	"testing"

	"holdbench/internal/discord/discordtest"
)

// A short question is about the member's last one in that channel, however that was
// asked, and about nobody else's.
func TestShortQuestionIsAboutTheMembersLastOneInTheChannel(t *testing.T) {
	s := play(t, discordtest.Options{})
	short := func(u *discordtest.User) string { return s.srv.Mention(u, s.guild, "and on 30g?").Message().Text() }

	s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Message()
	wants(t, short(s.ada), "┃ Orrick Mid, 30G 13 mm needle")
	wants(t, short(s.tess), "No gel is named.")
	wants(t, s.srv.DirectMessage(s.ada, "and on 30g?").Message().Text(), "No gel is named.")

	held := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "tamsel soft 27g 13mm")).Message()
	wants(t, short(s.ada), "┃ Tamsel Soft, 30G 13 mm needle")
	s.srv.Press(s.tess, s.srv.Press(s.ada, held, showLabel).Message(), "the tests").Message()
	wants(t, short(s.tess), "┃ Tamsel Soft, 30G 13 mm needle")
}

func TestResultOfAShortQuestionIsLoggedAfterAYes(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Message()
	before := s.tests(t)
	asked := s.srv.Mention(s.ada, s.guild, "log 6.2").Message()
	wants(t, asked.Text(), "Log 6.2 s for Orrick Mid, 27G 13 mm needle", "‹Pick one: yes, log it›")
	if n := s.tests(t); n != before {
		t.Fatalf("%d tests before a yes", n-before)
	}
	if said := s.srv.Mention(s.tess, s.guild, "yes").Message().Text(); strings.Contains(said, "Logged") {
		t.Errorf("somebody else's yes:\n%s", said)
	}
	wants(t, s.srv.Select(s.ada, asked, "yes, log it").Message().Text(), "Logged as test")
	if n := s.tests(t); n != before+1 {
		t.Errorf("%d tests logged", n-before)
	}
}
