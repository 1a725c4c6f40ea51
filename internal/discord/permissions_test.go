package discord

import (
	"strings"
	"testing"

	"holdbench/internal/discord/api"
	"holdbench/internal/discord/discordtest"
)

func TestAChannelThatTakesNoPostsIsNotSet(t *testing.T) {
	s := play(t, discordtest.Options{})
	other := s.srv.AddGuild("Elsewhere").Channel("general")
	for _, c := range []struct {
		name   string
		denied discordtest.Permission
		said   string
	}{
		{"silent", discordtest.SendMessages, "The bot lacks in that channel: Send Messages."},
		{"bare", discordtest.AttachFiles | discordtest.EmbedLinks, "lacks in that channel: Embed Links, Attach Files."},
		{"closed", discordtest.ViewChannel, "lacks in that channel: View Channels."},
	} {
		channel := s.guild.Channel(c.name)
		channel.DenyBot(c.denied)
		said := s.srv.Command(s.tess, s.guild, "trainer settings", discordtest.Opt("reminders", channel)).Message()
		wants(t, said.Text(), c.said, "then set the channel again")
		if to, err := s.group(t).Settings(t.Context()); err != nil || to.ReminderChannel != "" {
			t.Errorf("%s: set to %q, %v", c.name, to.ReminderChannel, err)
		}
	}
	if names, err := s.bot.lackingIn(t.Context(), s.guild.ID, other.ID); err != nil || len(names) != 1 {
		t.Errorf("a channel of another server: %v, %v", names, err)
	}
	fine := s.guild.Channel("bench")
	said := s.srv.Command(s.tess, s.guild, "trainer settings", discordtest.Opt("reminders", fine)).Message()
	wants(t, said.Text(), "**Weekly prompt** in <#"+fine.ID+">")
}

// The bits and the order of the exceptions are those of topics/permissions.
func TestWhatIsPermittedInAChannel(t *testing.T) {
	const roles = `[{"id":"1","permissions":"3072"},{"id":"5","permissions":"32768"},{"id":"6","permissions":"8"}]`
	for _, c := range []struct{ scene, member, overwrites, want string }{
		{"what roles allow", `["5"]`, `[]`, "Embed Links, Read Message History"},
		{"a role that is not one's own", `[]`, `[]`, "Embed Links, Attach Files, Read Message History"},
		{"all at once", `["5"]`, `[{"id":"1","allow":"81920"}]`, ""},
		{"closed to everybody, open to the role", `["5"]`,
			`[{"id":"1","deny":"1024","allow":"81920"},{"id":"5","allow":"1024"}]`, ""},
		{"closed to the member", `["5"]`, `[{"id":"9","deny":"2048"},{"id":"1","allow":"81920"}]`, "Send Messages"},
		{"an administrator", `["6"]`, `[{"id":"1","deny":"3072"}]`, ""},
	} {
		given := permitted("1", "9", api.Read([]byte(`{"roles":`+c.member+`}`)), api.Read([]byte(roles)),
			api.Read([]byte(`{"permission_overwrites":`+c.overwrites+`}`)))
		if got := strings.Join(lacking(given, true), ", "); got != c.want {
			t.Errorf("%s: lacks %q, want %q", c.scene, got, c.want)
		}
	}
}

func TestWhereAPictureCannotBeItsWordsAreAnswered(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.guild.Channel("general").DenyBot(discordtest.AttachFiles)
	const left = "Left out: what was attached. The bot lacks Attach Files in this channel."
	for scene, said := range map[string]discordtest.Message{
		"deferred": s.srv.Command(s.ada, s.guild, "group coverage").Message(),
		"mention":  s.srv.Mention(s.ada, s.guild, "/group coverage").Message(),
		"at once":  s.srv.Command(s.ada, s.guild, "record export").Message(),
	} {
		wants(t, said.Text(), left)
		if said.Embeds[0].Image.Attachment != nil || len(said.Attachments) > 0 {
			t.Errorf("%s: there is a file", scene)
		}
		if scene != "at once" {
			wants(t, said.Text(), "25 of 120 combinations tested", "Tamsel Soft")
		}
	}
}
