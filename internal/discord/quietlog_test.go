package discord

import (
	"context"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

// marker is a word that nobody says but whoever types in these tests.
const marker = "zqxwordmarker"

// TestTheLogHasNobodysWordsAndNoToken has people type a marker wherever something
// can be typed, with everything going well, refused, failing and in panic, and
// looks for it in the whole log at its most talkative, in both forms.
func TestTheLogHasNobodysWordsAndNoToken(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.srv.ExpectViolation("did not respond")
	var panics atomic.Bool
	s.bot.answer = func(ctx context.Context, env *commands.Env, req commands.Request) commands.Card {
		if panics.Load() {
			panic("unheard of: " + req.Line())
		}
		return commands.Answer(ctx, env, req)
	}
	s.bot.limits = nil
	s.start(t)
	s.ready(t)
	s.typesEverywhere(t)
	panics.Store(true)
	s.types(t)
	panics.Store(false)
	if err := s.store.Close(); err != nil { // every question and every test fails from here on
		t.Fatal(err)
	}
	s.types(t)
	s.srv.Fault(discordtest.Failing(400).On("POST", callbackPath))
	s.types(t)
	s.srv.Fault(discordtest.Dropped().Times(-1))
	s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", marker))
	s.srv.Mention(s.ada, s.guild, marker)
	time.Sleep(answerWithin + 200*time.Millisecond)
	s.srv.ClearFaults()
	text := s.log.String()
	wants(t, text, "answer failed", "panic: unheard of", "did not get through", "level=DEBUG", "database is closed")
	for name, text := range map[string]string{"text": text, "json": s.json.String()} {
		for _, line := range strings.Split(text, "\n") {
			lower := strings.ToLower(line)
			if strings.Contains(lower, marker) || strings.Contains(lower, strings.ToLower(s.srv.Token())) {
				t.Errorf("%s: %s", name, line)
			}
		}
		for _, token := range s.srv.Tokens() {
			if strings.Contains(text, token) {
				t.Errorf("%s: an interaction's token is in the log", name)
			}
		}
	}
}

// types asks once in each way.
func (s *scene) types(t *testing.T) {
	t.Helper()
	ada := []func() *discordtest.Answer{
		func() *discordtest.Answer {
			return s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", marker+" orrick mid 27g 13mm"))
		},
		func() *discordtest.Answer { return s.srv.Mention(s.ada, s.guild, "orrick mid 27g "+marker) },
		func() *discordtest.Answer {
			return s.srv.Command(s.ada, s.guild, "log", discordtest.Opt("product", "Dunmere Deep"),
				discordtest.Opt("instrument", "27G 13 mm needle"),
				discordtest.Opt("seconds", "3.1"), discordtest.Opt("note", marker))
		},
		func() *discordtest.Answer {
			return s.srv.Command(s.tess, s.guild, "trainer gels add", discordtest.Opt("name", marker+" Gel"),
				discordtest.Opt("class", "soft HA"))
		},
	}
	for _, ask := range ada {
		ask().Wait(5 * time.Second)
	}
	s.srv.Autocomplete(s.ada, s.guild, "hold", "product", marker).Wait(5 * time.Second)
}

// typesEverywhere types the marker into every option of every command, into forms,
// messages and suggestions.
func (s *scene) typesEverywhere(t *testing.T) {
	t.Helper()
	s.types(t)
	for _, cmd := range commands.All() {
		var fields []string
		for _, o := range cmd.Options {
			if len(o.Choices) == 0 && (o.Kind == commands.Text) {
				fields = append(fields, o.Name)
			}
		}
		if cmd.Free {
			fields = append(fields, textOption)
		}
		for _, field := range fields {
			a := s.srv.Command(s.tess, s.guild, cmd.Name, discordtest.Opt(field, marker), discordtest.Anyway())
			if _, err := a.Acknowledged(5 * time.Second); err != nil {
				t.Errorf("/%s %s: %v", cmd.Name, field, err)
			}
		}
	}
	form := s.srv.Command(s.ada, s.guild, "log").Modal()
	refused := s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "Orrick Mid"),
		discordtest.Opt("setup", "30G 13 mm needle"), discordtest.Opt("result", marker),
		discordtest.Opt("note", marker)).Message()
	s.srv.Press(s.ada, refused, "correct it").Modal()
	posted := s.srv.Say(s.tess, s.guild, "orrick mid, 30G 13mm: flashback after 4.2 s "+marker).Posted()
	s.srv.MessageCommand(s.ada, posted, "Log this test").Modal()
	s.srv.Say(s.ada, s.ada.DM(), "/stock "+marker+" 27G 13 mm").Message()
}
