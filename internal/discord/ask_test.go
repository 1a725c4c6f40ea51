package discord

import (
	"strconv"
	"strings"
	"testing"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

// held asks for a hold that the group has tested.
func (s *scene) held(u *discordtest.User) discordtest.Message {
	return s.srv.Command(u, s.guild, "hold", discordtest.Opt("product", "Orrick Mid"),
		discordtest.Opt("instrument", "27G 13 mm needle")).Message()
}

// more presses what leads to the buttons that a hold's row has no room for.
func (s *scene) more(held discordtest.Message) discordtest.Message {
	return s.srv.Press(s.ada, held, "more").Message()
}

func TestAHoldIsAnsweredToTheAskerAlone(t *testing.T) {
	s := play(t, discordtest.Options{})
	got := s.held(s.ada)
	wantHidden(t, got, true)
	wants(t, got.Text(), "┃ Orrick Mid, 27G 13 mm needle, thin wall\n┃ **NO HOLD: of 7 tests at this pull 6 showed "+
		"by 10 s, a hold takes 9 in 10**", "9 of 10 shown by 10 s",
		"[the tests] [log a test of it] [more] [caveats in full] [show in channel]")
	if got.Embeds[0].Color != colourMarine {
		t.Errorf("colour %x", got.Embeds[0].Color)
	}

	untested := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "dunmere deep 30g 8mm")).Message()
	wantHidden(t, untested, true)
	wants(t, untested.Text(), "┃ UNTESTED · Dunmere Deep, 30G 8 mm needle, thin wall\n┃ *Nobody here has "+
		"tested this: no hold.", "calculation, not a test")
	if untested.Embeds[0].Color == colourMarine || strings.Contains(untested.Text(), "**SHOWS") {
		t.Errorf("looks like a tested answer:\n%s", untested.Text())
	}
}

func TestAnAnswerIsShownToTheChannelByAButton(t *testing.T) {
	s := play(t, discordtest.Options{})
	shown := s.srv.Press(s.ada, s.held(s.ada), showLabel).Message()
	wantHidden(t, shown, false)
	wants(t, shown.Text(), "NO HOLD: of 7 tests at this pull 6 showed by 10 s", "[the tests]")
	if _, again := shown.Button(showLabel); again {
		t.Error("offers again to show what is shown")
	}
	seen := s.guild.Channel("general").Messages(s.tess)
	if len(seen) != 1 || seen[0].ID != shown.ID {
		t.Errorf("Tess sees %d messages", len(seen))
	}
	// Whoever presses a button on it is answered alone.
	wantHidden(t, s.srv.Press(s.tess, shown, "the tests").Message(), true)
}

func TestTheButtonsUnderAnAnswerAskOn(t *testing.T) {
	s := play(t, discordtest.Options{})
	held := s.held(s.ada)
	tests := s.srv.Press(s.ada, held, "the tests").Message()
	wantHidden(t, tests, true)
	wants(t, tests.Text(), "10 tests by 6 members", "median")

	behind := s.more(held)
	if text := behind.Text(); !strings.HasPrefix(text, "(only you see this)") || !strings.Contains(text, "[the picture] [compare needles] [what sets the pace] [I'll test this]") {
		t.Errorf("behind more:\n%s", text)
	}
	compare := s.srv.Press(s.ada, behind, "compare needles")
	wants(t, compare.Message().Text(), "Orrick Mid, compared", "**27G 13 mm needle** no hold, short of a hold",
		"untested")
	if !compare.Deferred() {
		t.Error("a slow answer was not deferred at once")
	}
	form := s.srv.Press(s.ada, held, "log a test of it").Modal()
	wants(t, form.Text(), "Gel *: Orrick Mid", "27G 13 mm needle, supplied syringe")
}

func TestChoicesAreAListAndTheAnswerTakesItsPlace(t *testing.T) {
	s := play(t, discordtest.Options{})
	asked := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick 27g 13mm, is 4 s enough"))
	question := asked.Message()
	wantHidden(t, question, true)
	wants(t, question.Text(), "‹Pick one: Orrick Mid, 27G 13 mm needle, by 4 s | Orrick Firm, 27G 13 mm needle, by "+
		"4 s›")
	answer := s.srv.Select(s.ada, question, "Orrick Firm, 27G 13 mm needle, by 4 s").Message()
	if answer.ID != question.ID {
		t.Error("the answer is another message")
	}
	wantHidden(t, answer, true)
	wants(t, answer.Text(), "Orrick Firm, 27G 13 mm needle", "By 4 s, as you asked")
	if len(answer.Selects()) > 0 {
		t.Error("the list is still there")
	}
}

func TestEveryCommandAnswers(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.bot.limits = nil // all at once is more than a member may ask
	s.start(t)
	s.ready(t)
	// Without a class its command has nothing to ask by a form.
	s.srv.Command(s.tess, s.guild, "trainer class", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	for _, cmd := range commands.All() {
		t.Run(cmd.Name, func(t *testing.T) {
			u, place := s.ada, discordtest.Place(s.guild)
			if commands.ForTrainers(cmd) {
				u = s.tess
			}
			a := s.srv.Command(u, place, cmd.Name)
			if commands.WantsForm(commands.Request{Command: cmd.Name}) {
				if form := a.Modal(); form.Title == "" {
					t.Error("a form without a title")
				}
				return
			}
			if a.Err() != nil { // an option is required: give what its example gives
				a = s.srv.Command(u, place, cmd.Name, exampleOptions(cmd)...)
			}
			wantHidden(t, a.Message(), true)
			if !cmd.Quick && !a.Deferred() {
				t.Error("not declared quick, and not deferred at once")
			}
		})
	}
}

// exampleOptions is what a command's first example fills in.
func exampleOptions(cmd *commands.Command) []discordtest.Option {
	var options []discordtest.Option
	_, rest, _ := strings.Cut(cmd.Examples[0], " ")
	for _, o := range cmd.Options {
		_, value, found := strings.Cut(rest, o.Name+":")
		if !found {
			continue
		}
		if quoted, is := strings.CutPrefix(value, `"`); is {
			value, _, _ = strings.Cut(quoted, `"`)
		} else {
			value, _, _ = strings.Cut(value, " ")
		}
		switch o.Kind {
		case commands.Whole:
			options = append(options, discordtest.Opt(o.Name, 27))
		case commands.Number:
			number, err := strconv.ParseFloat(value, 64)
			if err != nil {
				panic(err) // the example is the program's own
			}
			options = append(options, discordtest.Opt(o.Name, number))
		default:
			options = append(options, discordtest.Opt(o.Name, value))
		}
	}
	return options
}

func TestTrainersCommandsAreForTrainers(t *testing.T) {
	s := play(t, discordtest.Options{})
	if s.srv.Offered(s.ada, s.guild, "trainer") || !s.srv.Offered(s.tess, s.guild, "trainer") ||
		s.srv.Offered(s.tess, s.tess.DM(), "trainer") {
		t.Error("offered to others than those who manage the server")
	}
	// An admin can open it to all: rights are checked again.
	refused := s.srv.Command(s.ada, s.guild, "trainer settings", discordtest.Anyway()).Message()
	wants(t, refused.Text(), "/trainer settings is not open to you", "trainer")

	// A role of the server's own choice makes trainers.
	leads := s.guild.Role("leads", 0)
	set := s.srv.Command(s.tess, s.guild, "trainer settings", discordtest.Opt("trainers", leads),
		discordtest.Opt("ceiling", 12.0), discordtest.Opt("reminders", s.guild.Channel("general"))).Message()
	wants(t, set.Text(), "**Ceiling** 12 s", "**Trainers** <@&"+leads.ID+">, and",
		"**Weekly prompt** in <#"+s.guild.Channel("general").ID+">")
	s.guild.Join(s.ada, leads)
	wants(t, s.srv.Command(s.ada, s.guild, "trainer settings", discordtest.Anyway()).Message().Text(),
		"**Ceiling** 12 s")
	s.guild.Join(s.ada)
	wants(t, s.srv.Command(s.ada, s.guild, "trainer settings", discordtest.Anyway()).Message().Text(),
		"not open to you")
}

func TestATrainersRoleByNameIsTheSettings(t *testing.T) {
	s := stage(t, discordtest.Options{})
	leads := s.guild.Role("Trainers", 0)
	s.make(t, Settings{TrainerRole: "trainers"})
	s.start(t)
	s.ready(t)
	s.guild.Join(s.ada, leads)
	until(t, "the role counts", func() bool { known, _ := s.bot.servers.known(s.guild.ID); return known.trainerRole == leads.ID })
	wants(t, s.srv.Command(s.ada, s.guild, "trainer settings", discordtest.Anyway()).Message().Text(),
		"**Ceiling** 10 s")
}

func TestSuggestionsWhileTyping(t *testing.T) {
	s := play(t, discordtest.Options{})
	typed := func(option, text string, others ...discordtest.Option) string {
		t.Helper()
		suggestions := s.srv.Autocomplete(s.ada, s.guild, "hold", option, text, others...)
		var names []string
		for _, c := range suggestions.Choices() {
			names = append(names, c.Name)
		}
		if suggestions.Latency() > answerWithin {
			t.Errorf("%s %q took %s", option, text, suggestions.Latency())
		}
		return strings.Join(names, ", ")
	}
	wants(t, typed("product", "orick"), "Orrick Mid, Orrick Firm")
	wants(t, typed("product", ""), "Tamsel Soft, ", "Hesk Paste")
	wants(t, typed("instrument", "30", discordtest.Opt("product", "Orrick Mid")), "30G 13 mm needle")
	wants(t, typed("syringe", "0.3"), "fixed-needle 0.3 mL")
	if got := typed("product", "zzzz"); got != "" {
		t.Errorf("suggests %q", got)
	}
}

// Needles in the order in which they are likely meant: the asker's own, the
// group's, the sizes that are sold.
func TestSuggestionsBeginWithOnesOwnStock(t *testing.T) {
	s := play(t, discordtest.Options{})
	// Nobody in the demo has this needle in stock, let alone with this gel.
	wants(t, s.srv.Command(s.ada, s.guild, "stock add", discordtest.Opt("text",
		"Dunmere Deep 33G 9 mm needle")).Message().Text(), "In your stock: Dunmere Deep, 33G 9 mm needle")
	listed := s.srv.Command(s.ada, s.guild, "group needles").Message().Text() +
		s.srv.Command(s.ada, s.guild, "group needles", discordtest.Opt("page", 2)).Message().Text()
	for scene, others := range map[string][]discordtest.Option{"no gel named yet": nil,
		"the gel named": {discordtest.Opt("product", "Dunmere Deep")}} {
		choices := s.srv.Autocomplete(s.ada, s.guild, "hold", "instrument", "", others...).Choices()
		if len(choices) < 12 || choices[0].Name != "33G 9 mm needle" {
			t.Fatalf("%s: %v", scene, choices)
		}
		sold, most := 0, 0 // how many were not the group's, and where the group's ended
		for i, c := range choices {
			if strings.Contains(listed, "**"+c.Name+"**") {
				most = i
			} else {
				sold++
			}
		}
		if sold == 0 || most != len(choices)-1-sold {
			t.Errorf("%s: sizes that are sold stand before the group's own: %v", scene, choices)
		}
	}
	if got := s.srv.Autocomplete(s.tess, s.guild, "hold", "instrument",
		"").Choices(); got[0].Name == "33G 9 mm needle" {
		t.Errorf("somebody else's stock comes first: %v", got)
	}
	if got := s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "").Choices(); got[0].Name != "Dunmere Deep" {
		t.Errorf("gels: %v", got)
	}
}

func TestATestIsSuggestedWithWhatItIsAndSentAsItsNumber(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.logged(s.ada).Message()
	got := s.srv.Autocomplete(s.ada, s.guild, "record withdraw", "test", "").Choices()
	if len(got) != 1 || !strings.HasPrefix(got[0].Name, "145 · ") || got[0].Value != int64(145) &&
		got[0].Value != 145.0 &&
		got[0].Value != 145 {
		t.Fatalf("%+v", got)
	}
	back := s.srv.Command(s.ada, s.guild, "record withdraw", discordtest.Opt("test", 145)).Message()
	wants(t, back.Text(), "Test 145 no longer counts")
	if got := s.srv.Autocomplete(s.ada, s.guild, "log", "temperature", "2").Choices(); len(got) < 4 {
		t.Errorf("temperatures: %+v", got)
	}
}

func TestSuggestionsDegradeToAShorterList(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "").Choices()
	// No slot is free: what was suggested last is at hand.
	s.bot.suggestionWork = newWorkQueue(room{0, 0}, room{0, 0})
	got := s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "orr").Choices()
	if len(got) != 2 || got[0].Name != "Orrick Mid" {
		t.Errorf("%v", got)
	}
	if got := s.srv.Autocomplete(s.tess, s.guild, "hold", "product", "dunmere").Choices(); len(got) != 1 ||
		got[0].Name != "dunmere" {
		t.Errorf("with nothing at hand: %v", got)
	}
}

func TestUnknownAndWrongDataAreAnsweredInWords(t *testing.T) {
	s := play(t, discordtest.Options{})
	got := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "the blue one on the thing")).Message()
	wantHidden(t, got, true)
	greeted := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "good morning everyone")).Message()
	if !greeted.Ephemeral || strings.Contains(greeted.Text(), "vessel") || len(strings.Fields(greeted.Text())) > 25 {
		t.Errorf("a greeting is answered at length:\n%s", greeted.Text())
	}
	if _, shared := got.Button(showLabel); shared {
		t.Error("offers to show that it cannot read it")
	}
	wants(t, s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("colour", "red"),
		discordtest.Anyway()).Message().Text(), "/hold has no option “colour”")
	wants(t, s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm"),
		discordtest.Opt("seconds", -3.0), discordtest.Anyway()).Message().Text(), "seconds cannot be")
}
