package discord

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

// watcher presses the buttons of a watch in a scene and measures by the stand-in's clock,
// of which the bot knows nothing but the ids.
type watcher struct {
	t       *testing.T
	s       *scene
	shown   discordtest.Message
	began   time.Time
	stopped time.Time
	slack   time.Duration // how exactly the presses were timed here
}

func watching(t *testing.T) *watcher {
	w := &watcher{t: t, s: play(t, discordtest.Options{})}
	for _, gel := range []string{"orrick mid", "tamsel soft", "dunmere deep", "pellow lip", "orrick firm",
		"larnoch hydra"} {
		w.s.srv.Command(w.s.ada, w.s.guild, "bench aside", discordtest.Opt("text", gel+" 30G 13 mm")).Message()
	}
	w.shown = w.s.srv.Command(w.s.ada, w.s.guild, "bench watch").Message()
	return w
}

// press presses a button of the message and returns when, by the stand-in's clock.
func (w *watcher) press(name string) (a *discordtest.Answer, at time.Time) {
	before := w.s.srv.Clock.Now()
	a = w.s.srv.Press(w.s.ada, w.shown, name)
	after := w.s.srv.Clock.Now()
	w.slack += after.Sub(before)
	return a, before.Add(after.Sub(before) / 2)
}

// back presses "plunger back" and waits until it runs.
func (w *watcher) back() {
	w.t.Helper()
	w.slack = 0
	var a *discordtest.Answer
	a, w.began = w.press("plunger back")
	w.shown = a.Message()
	wants(w.t, w.shown.Text(), "<t:", "[blood shows]")
}

// shows presses "blood shows" after a time and waits for the next label.
func (w *watcher) shows(after time.Duration) {
	w.t.Helper()
	w.s.srv.Clock.Advance(after)
	var a *discordtest.Answer
	a, w.stopped = w.press("blood shows")
	before := w.shown.ID
	if w.shown = a.Message(); w.shown.ID != before || !w.shown.Ephemeral {
		w.t.Errorf("not in place of the message, for the asker alone:\n%s", w.shown.Text())
	}
}

// off is how far the seconds of the latest test are from those between the presses.
func (w *watcher) off() float64 {
	w.t.Helper()
	tests, err := w.s.group(w.t).Tests(w.t.Context(), knowledge.TestFilter{})
	if err != nil {
		w.t.Fatal(err)
	}
	last := tests[0]
	for _, one := range tests {
		if one.ID > last.ID {
			last = one
		}
	}
	off := last.Seconds - w.stopped.Sub(w.began).Seconds()
	if limit := rounding + w.slack.Seconds(); math.Abs(off) > limit {
		w.t.Errorf("test %d: %.3f s off, want at most %.3f", last.ID, off, limit)
	}
	return off
}

// rounding is what the stored tenth leaves, and the millisecond of a time stamp twice.
const rounding = 0.05 + 0.002

func (w *watcher) tells(what string, errors ...float64) {
	w.t.Helper()
	worst := 0.0
	for _, e := range errors {
		worst = max(worst, math.Abs(e))
	}
	w.t.Logf("%s: %d tests, at most %.3f s off", what, len(errors), worst)
}

// The seconds are those between the presses by the platform's clock, whatever becomes of
// the bot's answers and however long they take.
func TestAWatchIsTimedByThePlatformsClock(t *testing.T) {
	draw := rand.New(rand.NewPCG(15, 4))
	seconds := func() time.Duration { return time.Duration(1000+draw.IntN(29000)) * time.Millisecond }
	t.Run("quick answers", func(t *testing.T) {
		w := watching(t)
		var off []float64
		times := 8
		if testing.Short() {
			times = 3
		}
		for range times {
			w.back()
			w.shows(seconds())
			off = append(off, w.off())
		}
		w.tells("quick answers", off...)
	})
	t.Run("slow answers", func(t *testing.T) {
		w := watching(t)
		w.s.srv.Fault(discordtest.Late(900*time.Millisecond).On("POST", callbackPath).Times(-1))
		var off []float64
		for range 3 {
			w.back()
			w.shows(seconds())
			off = append(off, w.off())
		}
		w.tells("slow answers", off...)
	})
	t.Run("the answer to the first press is lost", func(t *testing.T) {
		w := watching(t)
		w.s.srv.ExpectViolation("no answer within")
		w.s.srv.Fault(discordtest.RateLimited(5*time.Second).On("POST", callbackPath).Times(-1))
		first, began := w.press("plunger back")
		if _, err := first.Wait(slowness * 5 * time.Second); err == nil {
			t.Fatal("answered")
		}
		until(t, "it is put away", w.s.idle)
		w.s.srv.ClearFaults()
		w.s.srv.Clock.Advance(2 * time.Second)
		w.back() // pressed once more: the message is as it was
		wants(t, w.shown.Text(), "pressed twice: the first press counts")
		w.began = began
		w.shows(seconds())
		w.tells("the answer to the first press is lost", w.off())
	})
	t.Run("the answer to the last press is lost", func(t *testing.T) {
		w := watching(t)
		w.back()
		w.s.srv.ExpectViolation("no answer within")
		w.s.srv.Fault(discordtest.RateLimited(5*time.Second).On("POST", callbackPath).Times(-1))
		w.s.srv.Clock.Advance(6 * time.Second)
		last, at := w.press("blood shows")
		if _, err := last.Wait(slowness * 5 * time.Second); err == nil {
			t.Fatal("answered")
		}
		until(t, "it is told in private", func() bool { return len(told(w.s.ada)) == 1 })
		w.s.srv.ClearFaults()
		w.shows(3 * time.Second) // pressed once more
		w.stopped = at
		w.tells("the answer to the last press is lost", w.off())
		wants(t, w.shown.Text(), "Test 2 of this syringe")
		if n := w.s.tests(t); n != 145 {
			t.Errorf("%d tests, want one more than 144", n)
		}
	})
	t.Run("pressed and delivered twice", func(t *testing.T) {
		w := watching(t)
		w.slack = 0
		first, began := w.press("plunger back")
		second, _ := w.press("plunger back")
		first.Message()
		w.shown, w.began = second.Message(), began
		w.s.redelivered(t, first)
		w.s.srv.Clock.Advance(4 * time.Second)
		one, at := w.press("blood shows")
		two, _ := w.press("blood shows")
		one.Message()
		w.shown, w.stopped = two.Message(), at
		w.s.redelivered(t, one)
		if n := w.s.tests(t); n != 145 {
			t.Errorf("%d tests, want one more than 144", n)
		}
		w.tells("pressed and delivered twice", w.off())
	})
	t.Run("a restart in between", func(t *testing.T) {
		w := watching(t)
		w.back()
		if err := w.s.leave(); err != nil {
			t.Fatal(err)
		}
		w.s.srv.Clock.Advance(6 * time.Second) // so far apart a bot may begin
		w.s.make(t, Settings{})
		w.s.start(t)
		w.s.ready(t)
		w.shows(5 * time.Second)
		w.tells("a restart in between", w.off())
	})
}

var runningTime = regexp.MustCompile(`<t:\d+:R>`)

func seeWatch(_ *testing.T, v *sight) {
	s := v.s
	see := func(what string, m discordtest.Message) discordtest.Message {
		v.did(what, runningTime.ReplaceAllString(m.Text(), "<t:…:R>"))
		return m
	}
	for _, gel := range []string{"orrick mid 31G 8 mm", "dunmere deep 27G 13 mm"} {
		s.srv.Command(s.ada, s.guild, "bench aside", discordtest.Opt("text", gel)).Message()
	}
	sheet := see("/bench sheet", s.srv.Command(s.ada, s.guild, "bench sheet").Message())
	m := see("[watch B-1]", s.srv.Press(s.ada, sheet, "watch B-1").Message())
	for _, do := range []string{"plunger back", "blood shows", "plunger back", "none, stop", "skip",
		"show in channel"} {
		s.srv.Clock.Advance(map[string]time.Duration{"blood shows": 3420 * time.Millisecond,
			"none, stop": 30400 * time.Millisecond}[do])
		m = see(fmt.Sprintf("[%s]", do), s.srv.Press(s.ada, m, do).Message())
		if do == "none, stop" {
			form := s.srv.Press(s.ada, m, "type it").Modal()
			v.did("[type it]", form.Text())
			m = see("0:12.40–0:17.13 60 fps, then [Submit]", s.srv.SubmitModal(s.ada, form,
				discordtest.Opt("result", "0:12.40–0:17.13 60 fps")).Message())
		}
	}
	if !strings.Contains(m.Text(), "tissue is not the bench") {
		v.did("(nothing)", "the caveats are not in full")
	}
}
