package discord

import (
	"errors"
	"strings"
	"testing"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

func TestTheCoverageIsKeptUpToDateInOneMessage(t *testing.T) {
	s := play(t, discordtest.Options{})
	channel := s.guild.Channel("coverage")
	said := s.srv.Command(s.tess, s.guild, "trainer wallchart", discordtest.Opt("channel", channel)).Message()
	wants(t, said.Text(), "It appears in <#"+channel.ID+"> within a few minutes")
	post := func(edit, key string) (string, error) {
		t.Helper()
		_, draw, err := commands.WallChart(t.Context(), s.group(t), stopped())
		if err != nil {
			t.Fatal(err)
		}
		card, err := draw()
		if err != nil {
			t.Fatal(err)
		}
		return s.bot.Post(t.Context(), Unasked{Server: s.guild.ID, Channel: channel.ID, Edit: edit, Key: key,
			Card: commands.Unasked(card, commands.Bearing{})})
	}
	id, err := post("", "first")
	if err != nil {
		t.Fatal(err)
	}
	s.logged(s.ada).Message()
	if again, err := post(id, ""); again != id || err != nil {
		t.Fatalf("%s, %v", again, err)
	}
	all := channel.Messages(s.ada)
	if len(all) != 1 || len(all[0].Attachments)+len(all[0].Embeds) == 0 {
		t.Fatalf("%d messages", len(all))
	}
	wants(t, all[0].Text(), "145 tests in all", "as of 2026-11-24", "not for a similar one",
		"[all that is worth a test]")
	shownIn(t, all[0])
	if n := len(all[0].Notified); n != 0 {
		t.Errorf("notifies %d", n)
	}
	wantHidden(t, s.srv.Press(s.ada, all[0], "all that is worth a test").Message(), true)

	channel.DenyBot(discordtest.AttachFiles)
	if _, err := post(id, ""); err != nil {
		t.Error(err)
	}
	if now := channel.Messages(s.ada)[0]; now.Embeds[0].Image.Attachment != nil ||
		!strings.Contains(now.Text(), "Attach Files") {
		t.Errorf("where no picture may be:\n%s", now.Text())
	}
	s.srv.DeleteMessage(channel.Messages(s.ada)[0])
	if _, err := post(id, ""); !errors.Is(err, ErrGone) {
		t.Errorf("of a message that is gone: %v", err)
	}
}
