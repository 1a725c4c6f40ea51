package discord

import (
	"testing"

	"holdbench/internal/discord/discordtest"
)

func TestAMemberSeesTakesAndErasesWhatIsStored(t *testing.T) {
	s := play(t, discordtest.Options{})
	wants(t, s.srv.Command(s.ada, s.guild, "me data").Message().Text(), "Nothing is stored about you here.")
	wants(t, s.logged(s.ada).Message().Text(), "Logged as test 145")
	shown := s.srv.Command(s.ada, s.guild, "me data").Message()
	wantHidden(t, shown, true)
	wants(t, shown.Text(), "ada, as last shown; platform id "+s.ada.ID, "1 test,",
		"[all of it as a file] [have it erased]")
	file := s.srv.Press(s.ada, shown, "all of it as a file").Message()
	wants(t, file.Text(), "me-2026-11-24.csv")
	before := s.srv.Press(s.ada, shown, "have it erased").Message()
	wants(t, before.Text(), "Nothing is erased yet.", "[erase me for good]")
	if _, err := s.group(t).Test(t.Context(), 145); err != nil {
		t.Fatal(err)
	}
	erased := s.srv.Press(s.ada, before, "erase me for good").Message()
	wantHidden(t, erased, true)
	wants(t, erased.Text(), "Erased.", "1 test, by a former member")
	test, err := s.group(t).Test(t.Context(), 145)
	if err != nil || test.Tester.Name != "a former member" || test.RequestKey != "" {
		t.Errorf("%+v, %v", test.Tester, err)
	}
	// The same button again is about somebody who is no longer there.
	wants(t, s.srv.Press(s.ada, before, "erase me for good").Message().Text(), "Nothing is stored about you here.")
	// Who comes back is new, and a button of somebody else's is not about them.
	wants(t, s.logged(s.ada).Message().Text(), "Logged as test 146")
	wants(t, s.logged(s.tess).Message().Text(), "Logged as test 147")
	wants(t, s.srv.Command(s.tess, s.guild, "me erase", discordtest.Opt("confirm", 100_000)).Message().Text(),
		"Nothing is erased yet.")
}

func TestWhatIsForTheAskerAloneIsNotSaidInAChannel(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.logged(s.ada).Message()
	for _, line := range []string{"/me data", "/record export"} {
		said := s.srv.Mention(s.ada, s.guild, line).Message()
		wants(t, said.Text(), "That answer is for you alone")
		if len(said.Attachments) > 0 {
			t.Errorf("%s: a file in a channel", line)
		}
	}
	wants(t, s.srv.Say(s.ada, s.ada.DM(), "/me data").Message().Text(), "platform id "+s.ada.ID)
}
