package discordtest_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

// ask uses /hold for a product.
func (s scene) ask() *discordtest.Answer {
	return s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("product", "Orrick Mid"))
}

// took hands the interactions the bot gets to the test.
func took() (chan *discordgo.InteractionCreate, func(*discordgo.Session, *discordgo.InteractionCreate)) {
	got := make(chan *discordgo.InteractionCreate, 100)
	return got, func(_ *discordgo.Session, i *discordgo.InteractionCreate) { got <- i }
}

func TestACommandIsAnswered(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, say(t, &discordgo.InteractionResponseData{Content: "hold 8 s",
		Flags: discordgo.MessageFlagsEphemeral}))
	a := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("product", "Orrick Mid"), discordtest.Opt("by", 10))
	m := a.Message()
	if m.Content != "hold 8 s" || !m.Ephemeral {
		t.Errorf("got %+v", m)
	}
	if got, want := m.Text(), "(only you see this)\nhold 8 s\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if l := a.Latency(); l <= 0 || l > a.Complete()+1 {
		t.Errorf("latency %s, complete %s", l, a.Complete())
	}
}

func TestAnInteractionTellsWhoWhereAndWhat(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	role := s.guild.Role("trainers", discordtest.ManageGuild)
	s.guild.Join(s.ada, role)
	s.ask()
	i := next(t, got)
	if i.Member == nil || i.Member.User.ID != s.ada.ID || i.Member.Permissions&discordgo.PermissionManageServer == 0 ||
		len(i.Member.Roles) != 1 || i.Member.Roles[0] != role.ID {
		t.Errorf("member %+v", i.Member)
	}
	if i.GuildID != s.guild.ID || i.AppID != s.srv.ApplicationID() || i.ChannelID != s.guild.Channel("general").ID {
		t.Errorf("got %+v", i.Interaction)
	}
	data := i.ApplicationCommandData()
	if data.Name != "hold" || data.Options[0].StringValue() != "Orrick Mid" || len(data.Options) != 1 {
		t.Errorf("data %+v", data)
	}
	s.srv.Command(s.ada, s.ada.DM(), "hold", discordtest.Opt("product", "x"), discordtest.Opt("by", 10))
	i = next(t, got)
	if i.Member != nil || i.User.ID != s.ada.ID || i.ApplicationCommandData().Options[1].IntValue() != 10 {
		t.Errorf("in a direct message: %+v", i.Interaction)
	}
}

func TestAnAnswerAfterTheDeadlineIsTooLate(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{Deadline: time.Minute}, handle)
	s.srv.ExpectViolation("no answer within")
	a := s.ask()
	i := next(t, got)
	s.srv.Clock.Advance(time.Minute)
	err := s.dg.InteractionRespond(i.Interaction, &discordgo.InteractionResponse{Type: discordgo.InteractionResponseDeferredChannelMessageWithSource})
	wantStatus(t, err, 404, 10062)
	if _, err := a.Wait(time.Second); err == nil || !strings.Contains(err.Error(), "did not respond") {
		t.Errorf("the person sees %v", err)
	}
}

func TestNoAnswerAtAllIsAViolation(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{Deadline: 100 * time.Millisecond}, nil)
	s.srv.ExpectViolation("no answer within")
	if _, err := s.ask().Wait(time.Second); err == nil {
		t.Error("an answer came")
	}
}

func TestASecondAnswerIsRefused(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	s.srv.ExpectViolation("40060")
	a := s.ask()
	i := next(t, got)
	answer := &discordgo.InteractionResponse{Type: discordgo.InteractionResponseChannelMessageWithSource,
		Data: &discordgo.InteractionResponseData{Content: "x"}}
	if err := s.dg.InteractionRespond(i.Interaction, answer); err != nil {
		t.Fatal(err)
	}
	wantStatus(t, s.dg.InteractionRespond(i.Interaction, answer), 400, 40060)
	if got := len(a.Messages()); got != 1 {
		t.Errorf("%d messages", got)
	}
}

func TestASecondDeliveryIsNoBreachOfTheBots(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	a := s.ask()
	first := next(t, got)
	a.Redeliver()
	second := next(t, got)
	if first.ID != second.ID || first.Token != second.Token {
		t.Errorf("%s and %s", first.ID, second.ID)
	}
	answer := &discordgo.InteractionResponse{Type: discordgo.InteractionResponseChannelMessageWithSource,
		Data: &discordgo.InteractionResponseData{Content: "x"}}
	if err := s.dg.InteractionRespond(first.Interaction, answer); err != nil {
		t.Fatal(err)
	}
	wantStatus(t, s.dg.InteractionRespond(second.Interaction, answer), 400, 40060)
}

func TestADeferredAnswerIsFilledLaterAndKeepsWhoSeesIt(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	bo := s.srv.User("bo")
	s.guild.Join(bo)
	a := s.ask()
	i := next(t, got)
	respond(t, s.dg, i, discordgo.InteractionResponseDeferredChannelMessageWithSource,
		&discordgo.InteractionResponseData{Flags: discordgo.MessageFlagsEphemeral})
	if _, err := a.Acknowledged(10 * time.Second); err != nil || !a.Deferred() {
		t.Errorf("acknowledged: %v, deferred %t", err, a.Deferred())
	}
	if _, err := a.Wait(50 * time.Millisecond); err == nil {
		t.Error("a promise was taken for the answer")
	}
	promised := s.guild.Channel("general").Messages(s.ada)
	if len(promised) != 1 || !promised[0].Thinking || len(s.guild.Channel("general").Messages(bo)) != 0 {
		t.Errorf("ada sees %+v", promised)
	}
	text := "hold 8 s"
	if _, err := s.dg.InteractionResponseEdit(i.Interaction, &discordgo.WebhookEdit{Content: &text}); err != nil {
		t.Fatal(err)
	}
	m := a.Message()
	if m.Content != text || !m.Ephemeral || m.Thinking || m.Edited {
		t.Errorf("got %+v", m)
	}
	if a.Complete() < 50*time.Millisecond || a.Latency() > a.Complete() {
		t.Errorf("latency %s, complete %s", a.Latency(), a.Complete())
	}
	if _, err := s.dg.ChannelMessage(m.Channel, m.ID); err == nil {
		t.Error("an ephemeral message can be fetched")
	}
}

func TestATokenLivesFifteenMinutes(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	s.srv.ExpectViolation("was used after 15m")
	s.ask()
	i := next(t, got)
	respond(t, s.dg, i, discordgo.InteractionResponseChannelMessageWithSource,
		&discordgo.InteractionResponseData{Content: "x"})
	text := "y"
	s.srv.Clock.Advance(14 * time.Minute)
	if _, err := s.dg.InteractionResponseEdit(i.Interaction, &discordgo.WebhookEdit{Content: &text}); err != nil {
		t.Error(err)
	}
	s.srv.Clock.Advance(2 * time.Minute)
	_, err := s.dg.InteractionResponseEdit(i.Interaction, &discordgo.WebhookEdit{Content: &text})
	wantStatus(t, err, 401, 50027)
}

func TestTheWebhookNeedsAFirstAnswer(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	s.srv.ExpectViolation("has no first answer")
	s.srv.ExpectViolation("10062")
	s.ask()
	i := next(t, got)
	text := "y"
	_, err := s.dg.InteractionResponseEdit(i.Interaction, &discordgo.WebhookEdit{Content: &text})
	wantStatus(t, err, 404, 10015)
	wrong := *i.Interaction
	wrong.ID = "1"
	err = s.dg.InteractionRespond(&wrong, &discordgo.InteractionResponse{Type: discordgo.InteractionResponseDeferredChannelMessageWithSource})
	wantStatus(t, err, 404, 10062)
	respond(t, s.dg, i, discordgo.InteractionResponseDeferredChannelMessageWithSource, nil)
}

func TestWhatADeferralCannotCarryIsNoted(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	s.srv.ExpectViolation("flags 32768 cannot be set on a deferral")
	s.srv.ExpectViolation("a deferral carries flags only")
	s.ask()
	respond(t, s.dg, next(t, got), discordgo.InteractionResponseDeferredChannelMessageWithSource,
		&discordgo.InteractionResponseData{Content: "x", Flags: 1 << 15})
}

func TestTheTransportServesSeveralStandInsInOneProcess(t *testing.T) {
	t.Parallel()
	a, b := discordtest.New(t, discordtest.Options{Name: "A"}), discordtest.New(t, discordtest.Options{Name: "B"})
	for name, srv := range map[string]*discordtest.Server{"A": a, "B": b} {
		u, err := client(t, srv).User("@me")
		if err != nil || u.Username != name {
			t.Error(errors.Join(err, fmt.Errorf("%s answers as %+v", name, u)))
		}
	}
}
