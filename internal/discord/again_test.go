package discord

import (
	"slices"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

// redelivered has an interaction delivered again: beside the first, after it, and
// as after a restart, when nobody remembers it. It waits until each was answered.
func (s *scene) redelivered(t *testing.T, a *discordtest.Answer) {
	t.Helper()
	answers := func() int { return len(s.srv.Requests("POST", "/interactions/"+a.ID()+"/*/callback")) }
	a.Redeliver()
	s.bot.seen.Take(a.ID())
	before := answers()
	a.Redeliver()
	until(t, "it is answered again", func() bool { return answers() > before })
	// What was answered again has been done again, if it was: slow work is deferred
	// before it is done.
	until(t, "the work is put away", s.idle)
}

func TestAFormDeliveredTwiceIsOneTest(t *testing.T) {
	s := play(t, discordtest.Options{})
	form := s.srv.Command(s.ada, s.guild, "log").Modal()
	sent := s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "Orrick Mid"),
		discordtest.Opt("setup", "30G 13 mm needle"), discordtest.Opt("result", "frames 372–514 at 60 fps"))
	wants(t, sent.Message().Text(), "Logged as test 145", "2.37 s, video 60 fps", "film frames 372–514 at 60 fps")
	s.redelivered(t, sent)
	if n := s.tests(t); n != 145 {
		t.Errorf("%d tests, want one more than 144", n)
	}
}

func TestABenchSessionDeliveredTwiceIsLoggedOnce(t *testing.T) {
	s := play(t, discordtest.Options{})
	for _, what := range []string{"orrick mid 30G 13 mm", "tamsel soft 30G 13 mm"} {
		s.srv.Command(s.ada, s.guild, "bench aside", discordtest.Opt("text", what)).Message()
	}
	sheet := s.srv.Command(s.ada, s.guild, "bench sheet").Message()
	form := s.srv.Press(s.ada, sheet, "log the results").Modal()
	sent := s.srv.SubmitModal(s.ada, form, discordtest.Opt("results", "B-1 3.4, 0:12.40-0:17.13\nB-2 none"))
	wants(t, sent.Message().Text(), "3 tests logged", "3.4 s (test 145), 4.73 s (test 146)", "none in 30 s (test 147)",
		"30 frames a second")
	s.redelivered(t, sent)
	if n := s.tests(t); n != 147 {
		t.Errorf("%d tests, want three more than 144", n)
	}
	wants(t, s.srv.Command(s.ada, s.guild, "bench box").Message().Text(), "Nothing waits.")
}

func TestAButtonDeliveredTwiceDoesItOnce(t *testing.T) {
	s := play(t, discordtest.Options{})
	back := s.srv.Press(s.ada, s.logged(s.ada).Message(), "take it back")
	wants(t, back.Message().Text(), "Test 145 no longer counts; it stays on record.")
	s.redelivered(t, back)
	changes, err := s.group(t).Changes(t.Context(), knowledge.ChangeFilter{TestID: 145})
	if err != nil || len(changes) != 2 { // logged, withdrawn
		t.Errorf("%d lines of history, %v", len(changes), err)
	}
	// Pressed once more it says so, and offers the way back all the same.
	again := s.srv.Press(s.ada, s.srv.Press(s.ada, back.Message(), "put it back").Message(), "take it back").Message()
	s.srv.Command(s.ada, s.guild, "record withdraw", discordtest.Opt("test", 145)).Message()
	wants(t, s.srv.Command(s.ada, s.guild, "record withdraw", discordtest.Opt("test", 145)).Message().Text(),
		"Test 145 was taken back before; it stays on record.", "[put it back]")
	wants(t, again.Text(), "no longer counts")

	taken := s.srv.Press(s.ada, s.srv.Command(s.ada, s.guild, "hold",
		discordtest.Opt("text", "dunmere deep 30g 8mm")).Message(), "I'll test this")
	wants(t, taken.Message().Text(), "Yours to test until")
	s.redelivered(t, taken)
	claims, err := s.group(t).Claims(t.Context())
	if err != nil || len(claims) != 1 {
		t.Errorf("%d claims, %v", len(claims), err)
	}
}

// An interaction that comes after its three seconds: the asker was told that
// nothing came of it, and will log the test once more.
func TestWhatNobodyWaitsForIsNotStored(t *testing.T) {
	s := play(t, discordtest.Options{IdentifySpacing: discordtest.Off, Deadline: 300 * time.Millisecond})
	s.srv.ExpectViolation("no answer within")
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	asked := s.logged(s.ada)
	if _, err := asked.Wait(slowness * 5 * time.Second); err == nil {
		t.Fatal("answered by nobody")
	}
	s.again(t)
	late := func() bool {
		return slices.ContainsFunc(s.srv.Requests("POST", callbackPath),
			func(r discordtest.Request) bool { return r.Code == api.UnknownInteraction })
	}
	asked.Redeliver()
	until(t, "the bot is told that it is late", late)
	if err := s.leave(); err != nil { // what was in hand is done
		t.Fatal(err)
	}
	if n := s.tests(t); n != 144 {
		t.Errorf("%d tests, want 144: the asker was told that nothing was stored", n)
	}
}

// restarted is a scene whose bot has ended, hard, and begun anew on the same
// store.
func (s *scene) restarted(t *testing.T) {
	t.Helper()
	s.bot.requests = kept[remembered](10)
	s.bot.seen = kept[struct{}](10)
}

func TestAButtonThatIsNoLongerKnownOffersAWay(t *testing.T) {
	s := play(t, discordtest.Options{})
	form := s.srv.Command(s.ada, s.guild, "log").Modal()
	refused := s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "x"), discordtest.Opt("setup", "y"),
		discordtest.Opt("result", "z")).Message()
	s.restarted(t)
	got := s.srv.Press(s.ada, refused, "correct it").Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "no longer known here", "ask again with /log", "[open the form]")
	wants(t, s.srv.Press(s.ada, got, "open the form").Modal().Text(), "Log a bench test")

	// A list whose choices are too long to be carried, in private.
	north := s.srv.JoinGuild("North", s.tess)
	north.Join(s.ada)
	s.haveLogs(t, s.guild, north)
	s.bot.chosen = kept[string](10)
	question := s.srv.DirectMessage(s.ada, "orrick mid 27g 13mm "+strings.Repeat("please and thank you ", 5)).Message()
	wants(t, question.Text(), "Which group's log?")
	s.restarted(t)
	lost := s.srv.Select(s.ada, question, "North").Message()
	wants(t, lost.Text(), "no longer known here", "ask again with /hold")
	if len(lost.Buttons()) > 1 || lost.Buttons()[0].Label != "caveats in full" {
		t.Errorf("a form where there is none:\n%s", lost.Text())
	}
}

// Buttons of an earlier version: their command is gone, or takes other options.
func TestAButtonOfAnEarlierVersionIsAnsweredInWords(t *testing.T) {
	s := play(t, discordtest.Options{})
	old := map[string]string{
		"a:bygone?A=1/2/3":        "There is no command “/bygone”.",
		"a:hold?colour=red":       "/hold has no option “colour”.",
		"a:hold?A=999/999/999":    "no longer on the group's list",
		"a~ABCDEFGHIJKLMNOP":      "no longer known here",
		"a~ABCDEFGHIJKLMNOP?log":  "ask again with /log",
		"a~ABCDEFGHIJKLMNOP?<@1>": "Please ask again.",
		"x:hold?A=1":              "no longer known here",
		"m:bygone?":               "no longer known here",
	}
	m := s.bot.message(commands.Card{Title: "as it was once"}, place{server: s.guild.ID}, "")
	for id := range old {
		m.Components = append(m.Components, row(button(id, id)))
		if len(m.Components) < maxRows && len(old) > len(m.Components) {
			continue
		}
		if _, err := s.bot.post(t.Context(), s.guild.Channel("general").ID, m); err != nil {
			t.Fatal(err)
		}
		shown := s.guild.Channel("general").Messages(s.ada)
		for _, b := range shown[len(shown)-1].Buttons() {
			got := s.srv.Press(s.ada, shown[len(shown)-1], b.CustomID).Message()
			wantHidden(t, got, true)
			wants(t, got.Text(), old[b.CustomID])
			delete(old, b.CustomID)
		}
		m.Components = nil
	}
	if len(old) > 0 {
		t.Errorf("not pressed: %v", old)
	}
}
