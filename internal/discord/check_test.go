package discord

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

// found is what Check says, one finding a line.
func (s *scene) found(t *testing.T) (text string, ok bool) {
	t.Helper()
	ok = true
	var lines []string
	for _, f := range s.bot.Check(t.Context()) {
		lines = append(lines, f.Text)
		ok = ok && f.OK
	}
	return strings.Join(lines, "\n"), ok
}

func TestCheckSaysWhetherAllIsRight(t *testing.T) {
	s := stage(t, discordtest.Options{})
	text, ok := s.found(t)
	wants(t, text, "Token: Discord knows it.", "Commands: not as declared (/bench, /explain", "the next start",
		"Servers: 1, with all permissions")
	if ok {
		t.Error("all is well before the commands are registered")
	}
	s.start(t)
	s.ready(t)
	text, ok = s.found(t)
	wants(t, text, "Intents: none needs switching on",
		fmt.Sprintf("Commands: all %d are registered as declared.", len(declarations())),
		"scope=bot+applications.commands&permissions=274878024704")
	if !ok {
		t.Errorf("not all is well:\n%s", text)
	}
}

func TestCheckNamesThePermissionsThatAreMissing(t *testing.T) {
	for given, want := range map[int64]string{
		1 << 3:              "", // an administrator has all
		invitePermissions(): "",
		1<<10 | 1<<11:       "Embed Links, Attach Files, Read Message History, Send Messages in Threads",
		0: "View Channels, Send Messages, Embed Links, Attach Files, Read Message History, Send " +
			"Messages in Threads",
	} {
		if got := strings.Join(lacking(given, false), ", "); got != want {
			t.Errorf("with %d: %s", given, got)
		}
	}
}

func TestCheckSaysWhatIsWrongWithTheToken(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.make(t, Settings{Token: "wrong.token.secret"})
	text, ok := s.found(t)
	wants(t, text, "Token: Discord does not know the token")
	if ok || strings.Contains(text, "secret") {
		t.Errorf("%t: %s", ok, text)
	}
}

func TestCheckSaysThatDiscordIsNotReached(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.srv.Down()
	text, ok := s.found(t)
	wants(t, text, "Token: Discord cannot be reached")
	if ok || strings.Contains(text, s.srv.Token()) {
		t.Errorf("%t: %s", ok, text)
	}
}

func TestCheckSaysThatTheBotIsNowhere(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.srv.LeaveGuild(s.guild)
	text, _ := s.found(t)
	wants(t, text, "the bot is in none. Invite it: https://discord.com/oauth2/authorize?client_id="+s.srv.ApplicationID())
}

// What is done with no more than the invite asks for, and what no longer is with
// one of it taken away. Threads are the exception: members alone open them.
func TestTheInvitesPermissionsAreEnoughAndEachIsNeeded(t *testing.T) {
	t.Parallel()
	for _, without := range neededPermissions {
		t.Run("without "+without.name, func(t *testing.T) {
			s := play(t, discordtest.Options{})
			s.logged(s.ada).Message()
			s.guild.Everyone(discordtest.ViewChannel | discordtest.UseCommands)
			s.guild.BotPermissions(discordtest.Permission(invitePermissions()))
			// An embed and a picture, as a reply: the most that is ever sent.
			got := s.srv.Mention(s.ada, s.guild, "/explain picture orrick mid 27g 13mm").Message()
			if len(got.Embeds) != 1 || got.Embeds[0].Image.Attachment == nil {
				t.Fatalf("with all of them: %s", got.Text())
			}
			if without.bit == 1<<38 {
				return
			}
			s.guild.Channel("general").DenyBot(discordtest.Permission(without.bit))
			if without.bit == int64(discordtest.EmbedLinks) {
				s.srv.ExpectViolation("embeds without the Embed Links permission are not shown")
			}
			asked := s.srv.Mention(s.ada, s.guild, "/explain picture orrick mid 27g 13mm")
			switch without.bit {
			case int64(discordtest.EmbedLinks):
				asked.Message()
				return
			case int64(discordtest.AttachFiles):
				wants(t, asked.Message().Text(), "The bot lacks Attach Files in this channel.")
				return
			case int64(discordtest.ViewChannel):
				asked.Silence(500 * time.Millisecond) // not heard
				return
			}
			until(t, "it is told to the log", func() bool {
				return strings.Contains(s.log.String(),
					"a reply did not get through")
			})
			asked.Silence(50 * time.Millisecond)
		})
	}
}

// 1<<10 | 1<<11 | 1<<14 | 1<<15 | 1<<16 | 1<<38, added up by hand.
func TestTheInviteAsksForTheLeast(t *testing.T) {
	if got := invitePermissions(); got != 1024+2048+16384+32768+65536+274877906944 {
		t.Errorf("%d", got)
	}
}
