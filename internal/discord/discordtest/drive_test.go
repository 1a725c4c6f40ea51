package discordtest_test

import (
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

// buttons is an answer with two buttons, a link and a select.
func buttons() *discordgo.InteractionResponseData {
	return &discordgo.InteractionResponseData{
		Content: "8 s",
		Components: []discordgo.MessageComponent{
			discordgo.ActionsRow{Components: []discordgo.MessageComponent{
				discordgo.Button{Label: "Tests", CustomID: "tests:1", Style: discordgo.PrimaryButton},
				discordgo.Button{Label: "Off", CustomID: "off", Style: discordgo.SecondaryButton, Disabled: true},
				discordgo.Button{Label: "Help", URL: "https://example.org", Style: discordgo.LinkButton},
			}},
			discordgo.ActionsRow{Components: []discordgo.MessageComponent{discordgo.SelectMenu{
				CustomID: "which", Placeholder: "Which Orrick?", MaxValues: 2,
				Options: []discordgo.SelectMenuOption{{Label: "Orrick Mid", Value: "1"},
					{Label: "Orrick Deep", Value: "2"}},
			}}},
		},
	}
}

func TestButtonsAndSelects(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, func(dg *discordgo.Session, i *discordgo.InteractionCreate) {
		if i.Type == discordgo.InteractionApplicationCommand {
			respond(t, dg, i, discordgo.InteractionResponseChannelMessageWithSource, buttons())
			return
		}
		data := i.MessageComponentData()
		if i.Message == nil || i.Message.Content != "8 s" {
			t.Errorf("the message is %+v", i.Message)
		}
		respond(t, dg, i, discordgo.InteractionResponseUpdateMessage, &discordgo.InteractionResponseData{
			Content: data.CustomID + " " + strings.Join(data.Values, ","),
		})
	})
	first := s.ask().Message()
	const want = "8 s\n[Tests] [Off (off)] [Help ↗]\n‹Which Orrick?: Orrick Mid | Orrick Deep›\n"
	if got := first.Text(); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	for _, name := range []string{"Off", "Help", "None"} {
		if s.srv.Press(s.ada, first, name).Err() == nil {
			t.Errorf("%s was pressed", name)
		}
	}
	if s.srv.Select(s.ada, first, "Orrick Low").Err() == nil || s.srv.Select(s.ada, first).Err() == nil ||
		s.srv.Select(s.ada, first, "1", "2", "1").Err() == nil ||
		s.srv.SelectFrom(s.ada, first, "other", "1").Err() == nil {
		t.Error("a choice the client does not offer was made")
	}
	if m := s.srv.Select(s.ada, first, "Orrick Deep", "1").Message(); m.Content != "which 2,1" || m.ID != first.ID ||
		!m.Edited {
		t.Errorf("got %+v", m)
	}
	first = s.ask().Message()
	if m := s.srv.Press(s.ada, first, "Tests").Message(); m.Content != "tests:1" || len(m.Buttons()) != 0 {
		t.Errorf("got %+v", m)
	}
}

func TestOnlyTheAskerCanPressOnAnEphemeralAnswer(t *testing.T) {
	t.Parallel()
	data := buttons()
	data.Flags = discordgo.MessageFlagsEphemeral
	s := play(t, discordtest.Options{}, say(t, data))
	bo := s.srv.User("bo")
	s.guild.Join(bo)
	m := s.ask().Message()
	if s.srv.Press(bo, m, "Tests").Err() == nil {
		t.Error("somebody else pressed a button they cannot see")
	}
	if again := s.srv.Press(s.ada, m, "Tests").Message(); again.ID == m.ID {
		t.Error("a new message was expected")
	}
}

func TestSelectsOfUsersBringThemAlong(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	if _, err := post(s, rows(obj{"type": 5, "custom_id": "who", "max_values": 2})); err != nil {
		t.Fatal(err)
	}
	m := s.guild.Channel("general").Messages(s.ada)[0]
	a := s.srv.SelectFrom(s.ada, m, "who", s.ada.ID)
	i := next(t, got)
	data := i.MessageComponentData()
	if data.Resolved.Users[s.ada.ID] == nil || data.Resolved.Users[s.ada.ID].Username != "ada" ||
		len(data.Values) != 1 {
		t.Errorf("got %+v", data)
	}
	respond(t, s.dg, i, discordgo.InteractionResponseDeferredMessageUpdate, nil)
	if _, err := a.Acknowledged(10 * time.Second); err != nil {
		t.Error(err)
	}
	if s.srv.Press(s.srv.User("stranger"), m, "who").Err() == nil {
		t.Error("somebody who is no member pressed something")
	}
}

func TestADeferredUpdateIsFilledLater(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, func(dg *discordgo.Session, i *discordgo.InteractionCreate) {
		if i.Type == discordgo.InteractionApplicationCommand {
			respond(t, dg, i, discordgo.InteractionResponseChannelMessageWithSource, buttons())
			return
		}
		respond(t, dg, i, discordgo.InteractionResponseDeferredMessageUpdate, nil)
		text := "later"
		if _, err := dg.InteractionResponseEdit(i.Interaction, &discordgo.WebhookEdit{Content: &text}); err != nil {
			t.Error(err)
		}
	})
	first := s.ask().Message()
	a := s.srv.Press(s.ada, first, "Tests")
	if m := a.Message(); m.Content != "later" || m.ID != first.ID || !a.Deferred() {
		t.Errorf("got %+v", m)
	}
}

func TestAMessageCommandBringsTheMessageAlong(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	s.register(t, &discordgo.ApplicationCommand{Type: discordgo.MessageApplicationCommand, Name: "Log this test"})
	posted := s.srv.Post(s.ada, s.guild, discordtest.Post{Text: "Orrick Mid 30G 4.8 s",
		Files: []discordtest.File{{Name: "clip.mp4"}}}).Posted()
	if s.srv.MessageCommand(s.ada, posted, "Log that").Err() == nil {
		t.Error("a command that does not exist was used")
	}
	a := s.srv.MessageCommand(s.ada, posted, "Log this test")
	i := next(t, got)
	data := i.ApplicationCommandData()
	m := data.Resolved.Messages[data.TargetID]
	if data.TargetID != posted.ID || m.Content != "Orrick Mid 30G 4.8 s" || len(m.Attachments) != 1 {
		t.Errorf("target %s, %+v", data.TargetID, m)
	}
	respond(t, s.dg, i, discordgo.InteractionResponseChannelMessageWithSource,
		&discordgo.InteractionResponseData{Content: "logged"})
	if got := a.Message(); got.Content != "logged" {
		t.Errorf("got %+v", got)
	}
}

func TestJoiningLeavingAndOutages(t *testing.T) {
	t.Parallel()
	srv := discordtest.New(t)
	ada := srv.User("ada")
	dg := client(t, srv)
	dg.Identify.Intents |= discordgo.IntentGuildIntegrations
	joined, left := watch[*discordgo.GuildCreate](dg), watch[*discordgo.GuildDelete](dg)
	added := watch[*discordgo.IntegrationCreate](dg)
	open(t, srv, dg)

	guild := srv.JoinGuild("New", ada)
	if g := next(t, joined); g.ID != guild.ID || g.Name != "New" {
		t.Errorf("joined %+v", g.Guild)
	}
	if one := next(t, added); one.GuildID != guild.ID || one.User.ID != ada.ID {
		t.Errorf("integration %+v", one.Integration)
	}
	srv.Outage(guild)
	if g := next(t, left); !g.Unavailable {
		t.Errorf("an outage looks like a leaving: %+v", g.Guild)
	}
	srv.Recover(guild)
	next(t, joined)
	srv.LeaveGuild(guild)
	if g := next(t, left); g.Unavailable || g.ID != guild.ID {
		t.Errorf("left %+v", g.Guild)
	}
	_, err := dg.Guild(guild.ID)
	wantStatus(t, err, 403, 50001)
	srv.Rejoin(guild)
	next(t, joined)
}

func TestEmbedsAsText(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	e := obj{
		"title": "Orrick Mid", "description": "hold 8 s", "url": "https://example.org/1",
		"author": obj{"name": "Bench"}, "footer": obj{"text": "a caveat"},
		"fields": arr{field("Tests", "11"), field("Estimate", "half by 2 s\n9 in 10 by 8 s")},
		"image":  obj{"url": "https://example.org/x.png"},
	}
	if _, err := post(s, obj{"content": s.ada.Mention(), "embeds": arr{e,
		obj{"title": "merged away", "url": "https://example.org/1"}}}); err != nil {
		t.Fatal(err)
	}
	want := "(notifies @ada)\n" + s.ada.Mention() + "\n┃ Bench\n┃ Orrick Mid\n┃ hold 8 s\n┃ Tests: 11\n┃ " +
		"Estimate:\n┃ half by 2 s\n┃ 9 in 10 by 8 s\n┃ a caveat\n┃ picture https://example.org/x.png\n"
	if got := s.guild.Channel("general").Messages(s.ada)[0].Text(); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestSilenceIsChecked(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	s.srv.Say(s.ada, s.guild, "to nobody").Silence(50 * time.Millisecond)
}
