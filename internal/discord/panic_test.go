package discord

import (
	"context"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

// broken is a scene whose answers and whose new communities panic from when the
// switch is on. What the panic says quotes what was typed, as a library might.
func broken(t *testing.T) (s *scene, on *atomic.Bool) {
	t.Helper()
	s, on = stage(t, discordtest.Options{}), &atomic.Bool{}
	s.bot.answer = func(ctx context.Context, env *commands.Env, req commands.Request) commands.Card {
		if on.Load() {
			panic("cannot parse " + req.Text + req.Values["text"] + req.Filled["note"])
		}
		return commands.Answer(ctx, env, req)
	}
	found := s.bot.communities.Found
	s.bot.communities.Found = func(ctx context.Context, ref, name string) (*knowledge.Group, error) {
		if on.Load() {
			panic("cannot found " + marker)
		}
		return found(ctx, ref, name)
	}
	s.start(t)
	s.ready(t)
	return s, on
}

var referenceInLog = regexp.MustCompile(`reference=([0-9a-f]{8})`)

func TestAPanicAnywhereIsAnApologyAndOneLineOfTheLog(t *testing.T) {
	s, on := broken(t)
	answer := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	choices := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick 27g 13mm")).Message()
	form := s.srv.Command(s.ada, s.guild, "log").Modal()
	on.Store(true)
	north := s.srv.JoinGuild("North", s.tess) // cannot be founded
	north.Join(s.ada)
	until(t, "the first panic is told", func() bool { return strings.Contains(s.log.String(), "doing=GUILD_CREATE") })
	posted := s.srv.Say(s.tess, north, "orrick mid, 30G 13mm: 4.2 s "+marker).Posted()

	message := func(do func() *discordtest.Answer) func() string {
		return func() string { return do().Message().Text() }
	}
	for name, do := range map[string]func() string{
		"slash": message(func() *discordtest.Answer {
			return s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", marker))
		}),
		"button": message(func() *discordtest.Answer { return s.srv.Press(s.ada, answer, "the tests") }),
		"list": message(func() *discordtest.Answer {
			return s.srv.Select(s.ada, choices, "Orrick Mid, 27G 13 mm needle")
		}),
		"modal": message(func() *discordtest.Answer {
			return s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "Orrick Mid"),
				discordtest.Opt("setup", "30G 13 mm needle"),
				discordtest.Opt("result", "4.2"), discordtest.Opt("note", marker))
		}),
		"form":    message(func() *discordtest.Answer { return s.srv.Command(s.ada, north, "log") }),
		"message": message(func() *discordtest.Answer { return s.srv.MessageCommand(s.ada, posted, "Log this test") }),
		"mention": message(func() *discordtest.Answer { return s.srv.Mention(s.ada, s.guild, "hold "+marker) }),
		"suggestions": func() string { // cannot carry an apology: what is typed can be asked for as it is
			if got := s.srv.Autocomplete(s.ada, north, "hold", "product", marker).Choices(); len(got) != 1 {
				t.Errorf("suggests %v", got)
			}
			return ""
		},
	} {
		before := len(s.log.String())
		said := do()
		lines := errorLines(s.log.String()[before:])
		if len(lines) != 1 {
			t.Errorf("%s: %d lines in the log: %q", name, len(lines), lines)
			continue
		}
		reference := referenceInLog.FindStringSubmatch(lines[0])
		if reference == nil || !strings.Contains(lines[0], "panic") || !strings.Contains(lines[0], "panic_test.go") {
			t.Errorf("%s: %s", name, lines[0])
			continue
		}
		if name != "suggestions" {
			wants(t, said, "Something went wrong here", "Reference "+reference[1])
		}
	}
	for _, text := range []string{s.log.String(), s.json.String()} {
		if strings.Contains(strings.ToLower(text), marker) && !strings.Contains(text, "cannot found "+marker) {
			t.Errorf("%q is in the log", marker)
		}
	}
	on.Store(false)
	s.wantAnswers(t)
}

func errorLines(text string) (lines []string) {
	for _, line := range strings.Split(text, "\n") {
		if strings.Contains(line, "level=ERROR") {
			lines = append(lines, line)
		}
	}
	return lines
}
