package discordtest_test

import (
	"strings"
	"testing"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

func TestWhoIsOfferedACommand(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, say(t, &discordgo.InteractionResponseData{Content: "x"}))
	manage, nobody := int64(discordgo.PermissionManageServer), int64(0)
	guildOnly := []discordgo.InteractionContextType{discordgo.InteractionContextGuild}
	s.register(t,
		&discordgo.ApplicationCommand{Name: "open", Description: "x"},
		&discordgo.ApplicationCommand{Name: "trainer", Description: "x", DefaultMemberPermissions: &manage,
			Contexts: &guildOnly},
		&discordgo.ApplicationCommand{Name: "admin", Description: "x", DefaultMemberPermissions: &nobody},
	)
	bo := s.srv.User("bo")
	s.guild.Join(bo, s.guild.Role("trainers", discordtest.ManageGuild))
	for _, c := range []struct {
		user  *discordtest.User
		place discordtest.Place
		name  string
		want  bool
	}{
		{s.ada, s.guild, "open", true}, {s.ada, s.guild, "trainer", false}, {bo, s.guild, "trainer", true},
		{bo, s.guild, "admin", false}, {s.guild.Owner, s.guild, "admin", true},
		{bo, bo.DM(), "trainer", false}, {s.ada, s.ada.DM(), "open", true}, {s.ada, s.guild, "none", false},
		{s.srv.User("stranger"), s.guild, "open", false},
	} {
		if got := s.srv.Offered(c.user, c.place, c.name); got != c.want {
			t.Errorf("/%s offered to %s: %t", c.name, c.user.Name, got)
		}
	}
	if err := s.srv.Command(s.ada, s.guild, "trainer").Err(); err == nil {
		t.Error("a command that is not offered was used")
	}
	s.srv.Command(s.ada, s.guild, "trainer", discordtest.Anyway()).Message()
}

func TestOptionsAreCheckedAsTheClientDoes(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, say(t, &discordgo.InteractionResponseData{Content: "x"}))
	text := func(n int) string { return strings.Repeat("a", n) }
	s.register(t, hold(), &discordgo.ApplicationCommand{Name: "log", Description: "x",
		Options: []*discordgo.ApplicationCommandOption{
			{Type: discordgo.ApplicationCommandOptionSubCommand, Name: "add", Description: "x",
				Options: []*discordgo.ApplicationCommandOption{
					{Type: discordgo.ApplicationCommandOptionString, Name: "note", Description: "x", MaxLength: 5},
					{Type: discordgo.ApplicationCommandOptionString, Name: "how", Description: "x",
						Choices: []*discordgo.ApplicationCommandOptionChoice{{Name: "Video", Value: "video"}}},
					{Type: discordgo.ApplicationCommandOptionUser, Name: "who", Description: "x"},
					{Type: discordgo.ApplicationCommandOptionAttachment, Name: "clip", Description: "x"},
				}},
		}})
	opt := discordtest.Opt
	for _, c := range []struct {
		name    string
		options []discordtest.Option
		fine    bool
	}{
		{"hold", []discordtest.Option{opt("product", "x")}, true},
		{"hold", nil, false},
		{"hold", []discordtest.Option{opt("product", "x"), opt("by", 121)}, false},
		{"hold", []discordtest.Option{opt("product", "x"), opt("by", "10")}, false},
		{"hold", []discordtest.Option{opt("product", "x"), opt("none", 1)}, false},
		{"hold", []discordtest.Option{opt("product", "x"), opt("by", 121), discordtest.Anyway()}, true},
		{"log", nil, false},
		{"log drop", nil, false},
		{"log add", []discordtest.Option{opt("note", text(5)), opt("how", "video"), opt("who", s.ada),
			opt("clip", discordtest.File{Name: "clip.mp4"})}, true},
		{"log add", []discordtest.Option{opt("note", text(6))}, false},
		{"log add", []discordtest.Option{opt("how", "stopwatch")}, false},
		{"none", nil, false},
	} {
		a := s.srv.Command(s.ada, s.guild, c.name, c.options...)
		if (a.Err() == nil) != c.fine {
			t.Errorf("/%s %v: %v", c.name, c.options, a.Err())
		}
		if a.Err() == nil {
			a.Message()
		}
	}
}

func TestResolvedOptionsComeAlong(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	s.register(t, &discordgo.ApplicationCommand{Name: "log", Description: "x",
		Options: []*discordgo.ApplicationCommandOption{
			{Type: discordgo.ApplicationCommandOptionAttachment, Name: "clip", Description: "x"},
			{Type: discordgo.ApplicationCommandOptionUser, Name: "who", Description: "x"},
		}})
	s.srv.Command(s.ada, s.guild, "log", discordtest.Opt("who", s.ada),
		discordtest.Opt("clip", discordtest.File{Name: "clip.mp4", ContentType: "video/mp4", Data: []byte("film")}))
	i := next(t, got)
	data := i.ApplicationCommandData()
	clip := data.Resolved.Attachments[data.Options[1].Value.(string)]
	if clip == nil || clip.Size != 4 || data.Resolved.Users[s.ada.ID].Username != "ada" {
		t.Fatalf("resolved %+v", data.Resolved)
	}
	resp, err := s.dg.Client.Get(clip.URL)
	if err != nil || resp.Header.Get("Content-Type") != "video/mp4" {
		t.Errorf("fetching it: %v, %v", resp, err)
	}
	respond(t, s.dg, i, discordgo.InteractionResponseChannelMessageWithSource,
		&discordgo.InteractionResponseData{Content: "x"})
}

// Anyway stands for a client that knows an older declaration: what it sends is
// typed by what it is.
func TestUndeclaredOptionsCanBeSentAnyway(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	opt := discordtest.Opt
	s.srv.Command(s.ada, s.guild, "hold", opt("text", "x"), opt("whole", 1), opt("number", 1.5), opt("yes", true),
		opt("who", s.ada),
		opt("role", s.guild.Role("trainers", 0)), opt("where", s.guild.Channel("general")),
		opt("clip", discordtest.File{Name: "a"}), discordtest.Anyway())
	i := next(t, got)
	want := []discordgo.ApplicationCommandOptionType{
		discordgo.ApplicationCommandOptionString, discordgo.ApplicationCommandOptionInteger,
		discordgo.ApplicationCommandOptionNumber,
		discordgo.ApplicationCommandOptionBoolean, discordgo.ApplicationCommandOptionUser,
		discordgo.ApplicationCommandOptionRole,
		discordgo.ApplicationCommandOptionChannel, discordgo.ApplicationCommandOptionAttachment,
	}
	for n, o := range i.ApplicationCommandData().Options {
		if o.Type != want[n] {
			t.Errorf("%s is of type %s, want %s", o.Name, o.Type, want[n])
		}
	}
	respond(t, s.dg, i, discordgo.InteractionResponseDeferredChannelMessageWithSource, nil)
}
