package discord

import (
	"flag"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/trade"
)

var update = flag.Bool("update", false, "rewrite what members see, then fail once so that the difference is read")

// sight is what one member sees, step by step, as text.
type sight struct {
	s *scene
	b strings.Builder
}

// did writes down what somebody did, and what they saw then.
func (v *sight) did(what, saw string) {
	v.b.WriteString("> " + what + "\n" + strings.TrimRight(v.plainly(saw), "\n") + "\n\n")
}

// plainly leaves out what differs each time.
func (v *sight) plainly(text string) string {
	pairs := []string{v.s.guild.ID, "…", v.s.srv.ApplicationID(), "…"}
	for id, name := range v.s.plain {
		pairs = append(pairs, id, name)
	}
	return strings.NewReplacer(pairs...).Replace(text)
}

// What members see is kept as text, for people to read and to correct, and for
// docs/discord.md.
func TestWhatMembersSee(t *testing.T) {
	scenes := map[string]func(*testing.T, *sight){"hold": seeHold, "choose": seeChoose, "log": seeLog,
		"mention": seeMention, "watch": seeWatch, "defend": seeDefend, "picture": seePicture, "class": seeClass,
		"desk": seeDesk}
	for i, name := range slices.Sorted(maps.Keys(scenes)) {
		if testing.Short() && i%3 > 0 { // each begins with a bot of its own, which takes long under the race detector
			continue
		}
		see := scenes[name]
		t.Run(name, func(t *testing.T) {
			v := &sight{s: play(t, discordtest.Options{})}
			see(t, v)
			compare(t, filepath.Join("testdata", "seen", name+".txt"), v.b.String())
		})
	}
}

func compare(t *testing.T, path, got string) {
	t.Helper()
	want, err := os.ReadFile(path)
	if err == nil && got == string(want) {
		return
	}
	if !*update {
		t.Fatalf("%v\n-want +got:\n%s", err, cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")))
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Error("rewritten: read the difference, then run again")
}

func seeHold(_ *testing.T, v *sight) {
	s := v.s
	held := s.held(s.ada)
	v.did("/hold product:Orrick Mid instrument:27G 13 mm needle", held.Text())
	v.did("[the tests]", s.srv.Press(s.ada, held, "the tests").Message().Text())
	v.did("/hold text:dunmere deep 30g 8mm", s.srv.Command(s.ada, s.guild, "hold",
		discordtest.Opt("text", "dunmere deep 30g 8mm")).Message().Text())
}

func seeChoose(_ *testing.T, v *sight) {
	s := v.s
	question := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick 25g 38mm cannula")).Message()
	v.did("/hold text:orrick 25g 38mm cannula", question.Text())
	v.did("‹Orrick Firm, 25G 38 mm cannula›", s.srv.Select(s.ada, question,
		"Orrick Firm, 25G 38 mm cannula").Message().Text())
}

func seeLog(_ *testing.T, v *sight) {
	s := v.s
	posted := s.srv.Say(s.tess, s.guild, "Dunmere Deep, 27G 13mm needle, 0:12.40–0:17.13, 60 fps").Posted()
	form := s.srv.MessageCommand(s.ada, posted, "Log this test").Modal()
	v.did("“Log this test”, from the menu of the message: "+posted.Content, form.Text())
	logged := s.srv.SubmitModal(s.ada, form).Message()
	v.did("[Submit]", logged.Text())
	v.did("[take it back]", s.srv.Press(s.ada, logged, "take it back").Message().Text())
}

func seeClass(t *testing.T, v *sight) {
	s := v.s
	opened := s.srv.Command(s.tess, s.guild, "trainer class", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	v.did("/trainer class text:orrick mid 27g 13mm, the trainer", opened.Text())
	shown := s.srv.Press(s.tess, opened, "show in channel").Message()
	v.did("[show in channel]", shown.Text())
	form := s.srv.Press(s.ada, shown, "log my test").Modal()
	v.did("[log my test], a member", form.Text())
	v.did("[Submit]", s.srv.SubmitModal(s.ada, form, discordtest.Opt("seconds", "6.21")).Message().Text())
	for _, seconds := range []string{"7.1", "7.4"} {
		s.inClass(s.tess, shown, seconds)
	}
	s.inClass(s.ada, shown, "6.5")
	until(t, "the message counts four", func() bool { return strings.Contains(s.now(t, shown).Text(), "4 tests by 2 members") })
	v.did("(the message, after four tests)", s.now(t, shown).Text())
	s.srv.Press(s.tess, s.now(t, shown), "end the class (trainer)").Message()
	until(t, "the message shows what was found", func() bool { return strings.Contains(s.now(t, shown).Text(), "Class over") })
	v.did("[end the class (trainer)]; the message then", s.now(t, shown).Text())
}

func seeMention(_ *testing.T, v *sight) {
	s := v.s
	v.did("@Holdbench is 5 s enough for tamsel soft on 30g half inch",
		s.srv.Mention(s.ada, s.guild, "is 5 s enough for tamsel soft on 30g half inch").Message().Text())
}

func seeDefend(_ *testing.T, v *sight) {
	s := v.s
	ask := func(what, command string, options ...discordtest.Option) discordtest.Message {
		m := s.srv.Command(s.ada, s.guild, command, options...).Message()
		v.did(what, m.Text())
		return m
	}
	question := ask("/explain negative assumed:1 in 200 text:orrick 25g 38mm cannula placements:12", "explain negative",
		discordtest.Opt("assumed", "1 in 200"), discordtest.Opt("text", "orrick 25g 38mm cannula"),
		discordtest.Opt("placements", 12))
	v.did("‹Orrick Firm, 25G 38 mm cannula›",
		s.srv.Select(s.ada, question, "Orrick Firm, 25G 38 mm cannula").Message().Text())
	v.did("@Holdbench what does a negative mean for tamsel soft 30g half inch, 1 in 200",
		s.srv.Mention(s.ada, s.guild, "what does a negative mean for tamsel soft 30g half inch, 1 in 200").Message().Text())
	v.did("[more], then [what sets the pace], under an answer on Orrick Mid, 27G 13 mm needle",
		s.srv.Press(s.ada, s.more(s.held(s.ada)), "what sets the pace").Message().Text())
	v.did("[limits], under /holdbench method", s.srv.Press(s.ada,
		s.srv.Command(s.ada, s.guild, "holdbench method").Message(), "limits").Message().Text())
	ask("/group spread", "group spread")
}

func seePicture(_ *testing.T, v *sight) {
	s := v.s
	more := s.more(s.held(s.ada))
	v.did("/hold product:Orrick Mid instrument:27G 13 mm needle, then [more]", more.Text())
	drawn := s.srv.Press(s.ada, more, "the picture").Message()
	v.did("[the picture]", drawn.Text())
	v.did("[show in channel]", s.srv.Press(s.ada, drawn, "show in channel").Message().Text())
	v.did("/explain picture text:dunmere deep 30g 8mm", s.srv.Command(s.ada, s.guild, "explain picture",
		discordtest.Opt("text", "dunmere deep 30g 8mm")).Message().Text())
	v.did("/group coverage", s.srv.Command(s.ada, s.guild, "group coverage").Message().Text())
	v.did("/group testers", s.srv.Command(s.ada, s.guild, "group testers").Message().Text())
	for gel, on := range map[string]string{"Orrick Mid": "27G 13 mm and 31G 8 mm", "Tamsel Fine": "27G 13 mm"} {
		s.srv.Command(s.ada, s.guild, "stock add", discordtest.Opt("product", gel),
			discordtest.Opt("instrument", on)).Message()
	}
	v.did("/mine, with three combinations in stock", s.srv.Command(s.ada, s.guild, "mine").Message().Text())
}

func seeDesk(t *testing.T, v *sight) {
	s := v.s
	i, err := trade.ReadInstrument("28G 19 mm needle")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.group(t).AddInstrument(t.Context(), i); err != nil {
		t.Fatal(err)
	}
	desk := s.srv.Command(s.tess, s.guild, "trainer desk").Message()
	v.did("/trainer desk", desk.Text())
	v.did("[flagged tests]", s.srv.Press(s.tess, desk, "flagged tests").Message().Text())
}
