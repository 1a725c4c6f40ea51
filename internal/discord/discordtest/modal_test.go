package discordtest_test

import (
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

// form is a modal in the old form, the only one the library can make.
func form() *discordgo.InteractionResponseData {
	input := func(id, label, value string, required bool, max int) discordgo.MessageComponent {
		return discordgo.ActionsRow{Components: []discordgo.MessageComponent{discordgo.TextInput{
			CustomID: id, Label: label, Style: discordgo.TextInputShort, Value: value, Required: required,
			MaxLength: max, Placeholder: "0:12.40",
		}}}
	}
	return &discordgo.InteractionResponseData{CustomID: "log", Title: "Log a test",
		Components: []discordgo.MessageComponent{
			input("product", "Product", "Orrick Mid", true, 50), input("time", "Time", "", true, 10),
			input("note", "Note", "", false, 0),
		}}
}

func TestModals(t *testing.T) {
	t.Parallel()
	var values []string
	s := play(t, discordtest.Options{}, func(dg *discordgo.Session, i *discordgo.InteractionCreate) {
		if i.Type == discordgo.InteractionApplicationCommand {
			respond(t, dg, i, discordgo.InteractionResponseModal, form())
			return
		}
		for _, c := range i.ModalSubmitData().Components {
			values = append(values, c.(*discordgo.ActionsRow).Components[0].(*discordgo.TextInput).Value)
		}
		respond(t, dg, i, discordgo.InteractionResponseChannelMessageWithSource,
			&discordgo.InteractionResponseData{Content: "logged"})
	})
	a := s.ask()
	m := a.Modal()
	if _, err := a.Wait(time.Second); err == nil {
		t.Error("a modal was taken for a message")
	}
	const want = "┌ Log a test\n│ Product *: Orrick Mid\n│ Time *: (0:12.40)\n│ Note: (0:12.40)\n└ [Submit] [Cancel]\n"
	if got := m.Text(); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	opt := discordtest.Opt
	for _, values := range [][]discordtest.Option{
		{}, {opt("Time", "12345678901")}, {opt("Time", "1"), opt("Product", "")}, {opt("Time", 4.8)},
		{opt("Time", "1"), opt("Tool", "x")},
	} {
		if s.srv.SubmitModal(s.ada, m, values...).Err() == nil {
			t.Errorf("%v was submitted", values)
		}
	}
	if s.srv.SubmitModal(s.guild.Owner, m, opt("Time", "1")).Err() == nil {
		t.Error("somebody else submitted the form")
	}
	if got := s.srv.SubmitModal(s.ada, m, opt("time", "4.8")).Message(); got.Content != "logged" {
		t.Errorf("got %+v", got)
	}
	if got := strings.Join(values, "|"); got != "Orrick Mid|4.8|" {
		t.Errorf("the bot read %q", got)
	}
}

// The newer modal parts are beyond the library, which drops the data of a
// submission it cannot read: the stand-in carries them all the same.
func TestModalsOfLabels(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	raw := watch[*discordgo.Event](s.dg)
	label := func(name string, inner obj) any { return obj{"type": 18, "label": name, "component": inner} }
	options := arr{obj{"label": "Video", "value": "v"}, obj{"label": "Stopwatch", "value": "s", "default": true}}
	a := s.ask()
	err := s.answer(next(t, got), obj{"type": 9, "data": obj{"custom_id": "m", "title": "Log", "components": arr{
		label("Time", obj{"type": 4, "custom_id": "time", "style": 1, "required": false}),
		label("How", obj{"type": 3, "custom_id": "how", "options": options, "required": false}),
	}}})
	if err != nil {
		t.Fatal(err)
	}
	m := a.Modal()
	if s.srv.SubmitModal(s.ada, m, discordtest.Opt("How", "None")).Err() == nil {
		t.Error("a choice that there is not was submitted")
	}
	s.srv.SubmitModal(s.ada, m, discordtest.Opt("How", "Video"))
	i := next(t, got)
	for {
		e := next(t, raw)
		if e.Type != "INTERACTION_CREATE" || !strings.Contains(string(e.RawData), `"type":5`) {
			continue
		}
		for _, want := range []string{`"values":["v"]`, `"value":""`} {
			if !strings.Contains(string(e.RawData), want) {
				t.Errorf("%s lacks %s", e.RawData, want)
			}
		}
		break
	}
	respond(t, s.dg, i, discordgo.InteractionResponseDeferredChannelMessageWithSource, nil)
}
