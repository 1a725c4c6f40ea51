package discordtest_test

import (
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

func TestContentIsHiddenWithoutThePrivilegedIntentButForMentionsAndDirectMessages(t *testing.T) {
	t.Parallel()
	for _, granted := range []bool{false, true} {
		srv := discordtest.New(t, discordtest.Options{MessageContent: granted})
		guild, ada := srv.AddGuild("Bench"), srv.User("ada")
		guild.Join(ada)
		dg := client(t, srv)
		if granted {
			dg.Identify.Intents |= discordgo.IntentMessageContent
		}
		seen := watch[*discordgo.MessageCreate](dg)
		open(t, srv, dg)

		plain := srv.Post(ada, guild, discordtest.Post{Text: "the secret",
			Files: []discordtest.File{{Name: "clip.mp4"}}})
		m := next(t, seen)
		if granted != (m.Content == "the secret") || granted != (len(m.Attachments) == 1) {
			t.Errorf("granted %t: the bot reads %q, %d attachments", granted, m.Content, len(m.Attachments))
		}
		got, err := dg.ChannelMessage(m.ChannelID, plain.ID())
		if err != nil || granted != (got.Content == "the secret") {
			t.Errorf("granted %t: over HTTP the bot reads %q, %v", granted, got.Content, err)
		}
		srv.Mention(ada, guild, "hold?")
		if m := next(t, seen); !strings.HasSuffix(m.Content, "hold?") || len(m.Mentions) != 1 {
			t.Errorf("a mention reads %q", m.Content)
		}
		srv.DirectMessage(ada, "in private")
		if m := next(t, seen); m.Content != "in private" || m.GuildID != "" {
			t.Errorf("a direct message reads %q", m.Content)
		}
		srv.Post(ada, guild, discordtest.Post{Text: srv.Bot().Mention(), ReplyTo: plain.Posted()})
		if m := next(t, seen); granted != (m.ReferencedMessage.Content == "the secret") {
			t.Errorf("granted %t: the message replied to reads %q", granted, m.ReferencedMessage.Content)
		}
	}
}

func TestTheBotHearsItsOwnMessagesAndAReplyIsTheAnswer(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	seen := watch[*discordgo.MessageCreate](s.dg)
	a := s.srv.Mention(s.ada, s.guild, "hold?")
	asked := next(t, seen)
	if _, err := s.dg.ChannelMessageSend(asked.ChannelID, "by the way"); err != nil {
		t.Fatal(err)
	}
	next(t, seen)
	if _, err := a.Wait(50 * time.Millisecond); err == nil {
		t.Error("a message that replies to nothing was taken for the answer")
	}
	_, err := s.dg.ChannelMessageSendComplex(asked.ChannelID, &discordgo.MessageSend{
		Content: "8 s", Reference: asked.Reference(), AllowedMentions: &discordgo.MessageAllowedMentions{},
	})
	if err != nil {
		t.Fatal(err)
	}
	if m := next(t, seen); m.Author.ID != s.srv.Bot().ID || m.Content != "8 s" {
		t.Errorf("the bot hears %+v", m.Message)
	}
	m := a.Message()
	if m.Content != "8 s" || m.ReplyTo != asked.ID || len(m.Notified) != 0 {
		t.Errorf("got %+v", m)
	}
	if !strings.HasPrefix(a.Posted().Content, "<@") {
		t.Errorf("written was %q", a.Posted().Content)
	}
	a.Redeliver()
	if m := next(t, seen); m.ID != asked.ID {
		t.Errorf("redelivered was %s", m.ID)
	}
}

func TestADirectMessageIsAnsweredByTheNextMessageThere(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	a := s.srv.DirectMessage(s.ada, "hold?")
	ch, err := s.dg.UserChannelCreate(s.ada.ID)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.dg.ChannelMessageSend(ch.ID, "8 s"); err != nil {
		t.Fatal(err)
	}
	if m := a.Message(); m.Content != "8 s" || m.Channel != s.ada.DM().ID {
		t.Errorf("got %+v", m)
	}
	s.ada.CloseDMs()
	_, err = s.dg.ChannelMessageSend(ch.ID, "again")
	wantStatus(t, err, 403, 50007)
}

func TestWhomAMessageNotifies(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	role := s.guild.Role("trainers", 0)
	text := s.ada.Mention() + " <@&" + role.ID + "> @everyone"
	s.guild.Everyone(0)
	s.guild.BotPermissions(discordtest.ViewChannel | discordtest.SendMessages | discordtest.MentionEveryone | discordtest.ReadMessageHistory)
	cases := map[string]struct {
		allowed *discordgo.MessageAllowedMentions
		want    string
	}{
		"default": {nil, "@ada @trainers @everyone"},
		"none":    {&discordgo.MessageAllowedMentions{Parse: []discordgo.AllowedMentionType{}}, ""},
		"users":   {&discordgo.MessageAllowedMentions{Parse: []discordgo.AllowedMentionType{"users"}}, "@ada"},
		"one role": {&discordgo.MessageAllowedMentions{Parse: []discordgo.AllowedMentionType{},
			Roles: []string{role.ID}}, "@trainers"},
	}
	channel := s.guild.Channel("general")
	for scene, c := range cases {
		if _, err := s.dg.ChannelMessageSendComplex(channel.ID,
			&discordgo.MessageSend{Content: text, AllowedMentions: c.allowed}); err != nil {
			t.Fatal(err)
		}
		all := channel.Messages(s.ada)
		if got := strings.Join(all[len(all)-1].Notified, " "); got != c.want {
			t.Errorf("%s: notified %q, want %q", scene, got, c.want)
		}
	}
}

func TestTheHouseRuleAgainstPings(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{NoPings: true}, nil)
	channel := s.guild.Channel("general")
	s.srv.ExpectViolation("allowed_mentions is left to the default")
	s.srv.ExpectViolation("would notify @ada")
	for _, m := range []*discordgo.MessageSend{
		{Content: "hello"},
		{Content: s.ada.Mention(), AllowedMentions: &discordgo.MessageAllowedMentions{Parse: []discordgo.AllowedMentionType{"users"}}},
		{Content: s.ada.Mention(), AllowedMentions: &discordgo.MessageAllowedMentions{Parse: []discordgo.AllowedMentionType{}}},
	} {
		if _, err := s.dg.ChannelMessageSendComplex(channel.ID, m); err != nil {
			t.Fatal(err)
		}
	}
	if got := len(s.srv.Violations()); got != 2 {
		t.Errorf("%d violations, want 2", got)
	}
}

// post sends a message as raw JSON.
func post(s scene, body map[string]any) (*discordgo.Message, error) {
	url := discordgo.EndpointChannelMessages(s.guild.Channel("general").ID)
	raw, err := s.dg.RequestWithBucketID("POST", url, body, url)
	if err != nil {
		return nil, err
	}
	var m discordgo.Message
	return &m, discordgo.Unmarshal(raw, &m)
}

func TestANonceIsEnforcedForAFewMinutes(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	body := map[string]any{"content": "weekly", "nonce": "weekly 2026-11-23", "enforce_nonce": true}
	var ids []string
	for range 2 {
		m, err := post(s, body)
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, m.ID)
	}
	if ids[0] != ids[1] || len(s.guild.Channel("general").Messages(s.ada)) != 1 {
		t.Errorf("the same nonce made %v", ids)
	}
	s.srv.Clock.Advance(time.Hour)
	if m, err := post(s, body); err != nil || m.ID == ids[0] {
		t.Errorf("after an hour the nonce still returned %v, %v", m, err)
	}
	delete(body, "enforce_nonce")
	if m, err := post(s, body); err != nil || m.ID == ids[0] {
		t.Errorf("without enforce_nonce: %v, %v", m, err)
	}
}

func TestALostAnswerAndANonceMakeOneMessage(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	s.srv.Fault(discordtest.AnswerLost().On("POST", "/channels/*/messages"))
	body := map[string]any{"content": "weekly", "nonce": "1", "enforce_nonce": true}
	if _, err := post(s, body); err == nil {
		t.Error("the answer was not lost")
	}
	if _, err := post(s, body); err != nil {
		t.Fatal(err)
	}
	if got := len(s.guild.Channel("general").Messages(s.ada)); got != 1 {
		t.Errorf("%d messages", got)
	}
}

func TestAReplyToADeletedMessage(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	gone := s.srv.Say(s.ada, s.guild, "x").Posted()
	s.srv.DeleteMessage(gone)
	ref := map[string]any{"message_id": gone.ID}
	_, err := post(s, map[string]any{"content": "8 s", "message_reference": ref})
	wantStatus(t, err, 400, 50035)
	ref["fail_if_not_exists"] = false
	if _, err := post(s, map[string]any{"content": "8 s", "message_reference": ref}); err != nil {
		t.Error(err)
	}
}

func TestMessagesAreEditedAndListed(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	channel := s.guild.Channel("general")
	theirs := s.srv.Say(s.ada, s.guild, "x").Posted()
	m, err := s.dg.ChannelMessageSend(channel.ID, "one")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.dg.ChannelMessageEdit(channel.ID, m.ID, "two"); err != nil {
		t.Fatal(err)
	}
	_, err = s.dg.ChannelMessageEdit(channel.ID, theirs.ID, "mine")
	wantStatus(t, err, 403, 50005)
	all, err := s.dg.ChannelMessages(channel.ID, 10, "", "", "")
	if err != nil || len(all) != 2 || all[0].Content != "two" || all[0].EditedTimestamp == nil {
		t.Errorf("listed %v, %v", all, err)
	}
	older, err := s.dg.ChannelMessages(channel.ID, 10, m.ID, "", "")
	if err != nil || len(older) != 1 || older[0].ID != theirs.ID {
		t.Errorf("before: %v, %v", older, err)
	}
}

func TestTheBotsRightsInAChannel(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	channel := s.guild.Channel("quiet")
	asked := s.srv.Mention(s.ada, channel, "hold?").Posted()
	channel.DenyBot(discordtest.ReadMessageHistory)
	if ch, err := s.dg.Channel(channel.ID); err != nil || len(ch.PermissionOverwrites) != 1 ||
		ch.PermissionOverwrites[0].Deny != discordgo.PermissionReadMessageHistory {
		t.Errorf("the channel is %+v, %v", ch, err)
	}
	_, err := s.dg.ChannelMessageSendReply(channel.ID, "8 s", &discordgo.MessageReference{MessageID: asked.ID})
	wantStatus(t, err, 400, 160002)
	channel.DenyBot(discordtest.SendMessages)
	_, err = s.dg.ChannelMessageSend(channel.ID, "8 s")
	wantStatus(t, err, 403, 50013)
	channel.DenyBot(discordtest.ViewChannel)
	_, err = s.dg.ChannelMessageSend(channel.ID, "8 s")
	wantStatus(t, err, 403, 50001)
	_, err = s.dg.ChannelMessageSend("1", "8 s")
	wantStatus(t, err, 404, 10003)
}
