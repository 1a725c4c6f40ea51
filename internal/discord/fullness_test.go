package discord

import (
	"fmt"
	"strings"
	"testing"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// Names as long as the log takes them, full of what Discord reads as signs.
var (
	longGel    = strings.Repeat("*Gel*_[x](y)|", 5) + "<@1> 🧪 of 80 ab"
	longTester = strings.Repeat("~~@everyone~~ `é`", 4) + " hand"
)

// full makes a log as full as a combination's may get: 50 tests by 25 testers,
// each with a note and a film, and a second gel that is called nearly the same.
func (s *scene) full(t *testing.T) {
	t.Helper()
	until(t, "the group is there", func() bool { _, err := s.store.Group(t.Context(), s.guild.ID); return err == nil })
	g := s.group(t)
	needle, err := trade.ReadInstrument("30G 13 mm needle")
	if err != nil {
		t.Fatal(err)
	}
	gels := make([]trade.Product, 2)
	for i := range gels {
		if gels[i], err = g.AddProduct(t.Context(), trade.Product{Name: longGel[:len(longGel)-1] + string(rune('a'+i)),
			Class: "fine HA", Aliases: []string{fmt.Sprintf("twin %d", i)}}); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 50 {
		hand := knowledge.Member{Ref: fmt.Sprintf("4000000000000000%02d", i%25),
			Name: fmt.Sprintf("%s %d", longTester, i%25), Role: knowledge.MemberRole}
		if hand, err = g.Admit(t.Context(), hand); err != nil {
			t.Fatal(err)
		}
		test := knowledge.BenchTest{
			Combination: trade.Combination{Product: gels[0], Instrument: needle},
			TestedOn:    fmt.Sprintf("2026-10-%02d", 1+i%28), Tester: hand, Liquid: strings.Repeat("*milk* ", 8),
			LiquidC: 20, PullML: 0.1, WatchedS: 30, Outcome: knowledge.Flashback, Seconds: 2 + float64(i%7),
			Timing: "video 30 fps", Note: strings.Repeat("**odd** [a](b) ||x|| ", 9),
			Film: knowledge.Film{Marks: "0:12.40–0:17.13", Link: fmt.Sprintf("https://discord.com/channels/%s/1/%d",
				s.guild.ID, i+1)},
		}
		if _, err := g.LogTest(t.Context(), test); err != nil {
			t.Fatal(err)
		}
	}
	for i := range gels {
		if _, err := g.AddStock(t.Context(), knowledge.StockItem{Member: must(t)(g.Member(t.Context(),
			"400000000000000003")), Combination: trade.Combination{Product: gels[i], Instrument: needle}}); err != nil {
			t.Fatal(err)
		}
	}
}

func must(t *testing.T) func(knowledge.Member, error) knowledge.Member {
	return func(m knowledge.Member, err error) knowledge.Member {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
}

// The stand-in holds each message to the platform's limits. Here every command
// that lists anything is asked of a log that is as full as it may get.
func TestAFullLogIsShownWithinTheLimits(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.full(t)
	about := discordtest.Opt("product", longGel[:len(longGel)-1]+"a")
	caveats := []string{"No flashback does not mean the tip is outside a vessel.", "Local protocol"}
	for i, asked := range []*discordtest.Answer{
		s.srv.Command(s.ada, s.guild, "hold", about, discordtest.Opt("instrument", "30G 13 mm needle")),
		s.srv.Command(s.ada, s.guild, "record tests", discordtest.Opt("text", "twin 0 30G 13 mm")),
		s.srv.Command(s.ada, s.guild, "group compare", about),
		s.srv.Command(s.ada, s.guild, "group compare", discordtest.Opt("text", "30G 13 mm needle")),
		s.srv.Command(s.ada, s.guild, "totest list"),
		s.srv.Command(s.ada, s.guild, "group gels"),
		s.srv.Command(s.tess, s.guild, "trainer stock"),
		s.srv.Command(s.tess, s.guild, "trainer flagged"),
		s.srv.Command(s.tess, s.guild, "record history"),
		s.srv.Command(s.tess, s.guild, "record export"),
		s.srv.Command(s.ada, s.guild, "totest take", discordtest.Opt("text", "twin 1 27G 13 mm")),
		s.srv.Command(s.ada, s.guild, "bench aside", discordtest.Opt("text", "twin 0 30G 13 mm")),
		s.srv.Command(s.ada, s.guild, "bench sheet"),
		s.srv.Mention(s.ada, s.guild, "twin 0 30G 13 mm"),
	} {
		m := asked.Message()
		words := caveats
		if m.Ephemeral {
			words = []string{"No flashback does not mean outside a vessel.", "Local protocol"}
		}
		checkShown(t, uint64(i), m, words)
		if len(m.Embeds[0].Title) == 0 {
			t.Errorf("%d: no title\n%s", i, m.Text())
		}
	}
	if got := s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "twin").Choices(); len(got) < 2 ||
		got[0].Name != longGel[:len(longGel)-1]+"a" || got[0].Value != got[0].Name {
		t.Errorf("%v", got)
	}
	question := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "twin 30G 13 mm")).Message()
	labels := map[string]bool{}
	if len(question.Selects()) == 0 {
		t.Fatalf("no question back:\n%s", question.Text())
	}
	for _, o := range question.Selects()[0].Options {
		labels[o.Label] = true
		wants(t, o.Label, "30G 13 mm needle")
	}
	if len(labels) < 2 {
		t.Errorf("choices that look alike: %v", labels)
	}
	form := s.srv.Press(s.ada, s.srv.Mention(s.ada, s.guild, "twin 0 30G 13 mm").Message(), "log a test of it").Modal()
	wants(t, form.Text(), longGel[:20], "30G 13 mm needle, supplied syringe")
}

func TestALongNameLosesItsMiddle(t *testing.T) {
	for _, c := range []struct {
		text string
		most int
		want string
	}{
		{"Orrick Mid, 27G 13 mm needle", 40, "Orrick Mid, 27G 13 mm needle"},
		{"An Unreasonably Long Gel, 27G 13 mm needle", 30, "An Unreasonabl…7G 13 mm needle"},
	} {
		if got := inShort(c.text, c.most); got != c.want {
			t.Errorf("%q in %d: %q", c.text, c.most, got)
		}
	}
	for _, text := range []string{strings.Repeat("🧪", 50), strings.Repeat("a ", 60)} {
		for most := 1; most < 90; most++ {
			if got := inShort(text, most); length(got) > most || strings.ContainsRune(got, '\ufffd') {
				t.Errorf("%q in %d: %q", text, most, got)
			}
		}
	}
}
