package commands

import (
	"context"
	"strings"
	"testing"
	"time"

	"holdbench/internal/knowledge"
)

// presser presses the buttons of a watch, by a platform's clock of its own.
type presser struct {
	t    *testing.T
	env  *Env
	now  time.Time // the platform's
	card Card      // as last shown
}

func newPresser(t *testing.T) *presser {
	return &presser{t: t, env: demoEnv(t), now: stopped().Add(17 * time.Millisecond)}
}

// says types a line in the chat.
func (p *presser) says(line string) Card {
	p.t.Helper()
	req := Typed(line, askingMember)
	req.At, req.Place = p.now, "chat"
	p.card = Answer(context.Background(), p.env, req)
	return p.card
}

// on is the button of that name on a card.
func on(t *testing.T, card Card, label string) Request {
	t.Helper()
	for _, a := range card.Actions {
		if a.Label == label {
			a.Request.Asker = askingMember
			return a.Request
		}
	}
	t.Fatalf("no %q on\n%s", label, card.Text())
	return Request{}
}

// press presses a button of the card that is shown, so long after the last press.
func (p *presser) press(label string, after time.Duration) Card {
	p.t.Helper()
	p.now = p.now.Add(after)
	p.card = p.sent(on(p.t, p.card, label), p.now)
	return p.card
}

// sent is what comes of a press that was made at a time.
func (p *presser) sent(req Request, at time.Time) Card {
	p.t.Helper()
	req.At = at
	card := Answer(context.Background(), p.env, req)
	if card.Failed {
		p.t.Fatalf("failed: %s", card.Text())
	}
	return card
}

func (p *presser) test(id int64) knowledge.BenchTest {
	p.t.Helper()
	test, err := p.env.Group.Test(context.Background(), id)
	if err != nil {
		p.t.Fatal(err)
	}
	return test
}

func TestAWatchTimesBetweenThePressesAndGoesOnToTheNextLabel(t *testing.T) {
	p := newPresser(t)
	p.says("/bench aside orrick mid 31G 8 mm")
	p.says("/bench aside dunmere deep 27G 13 mm")
	first := p.says("/bench watch label:B-1")
	wants(t, first.Text(), "B-1: Orrick Mid, 31G 8 mm needle", "Press when the plunger is at its mark.", "Then: B-2")
	running := p.press("plunger back", time.Second)
	wants(t, running.Text(), "B-1: watch the hub")
	if !running.Bare || len(running.Actions) != 3 {
		t.Errorf("more to press than needed: %+v", running.Actions)
	}
	next := p.press("blood shows", 3449*time.Millisecond)
	wants(t, next.Text(), "B-1: Orrick Mid", "Test 2 of this syringe", "Logged: B-1 3.5 s, test 145")
	got := p.test(145)
	if got.Seconds != 3.4 || got.Timing != "by taps" || got.WatchedS != 30 || got.PullML != 0.1 ||
		got.Liquid != "whole milk" {
		t.Errorf("%+v", got)
	}
	p.press("plunger back", 10*time.Second)
	p.press("none, stop", 31900*time.Millisecond)
	if got := p.test(146); got.Outcome != knowledge.None || got.WatchedS != 31 {
		t.Errorf("%+v", got)
	}
	wants(t, p.press("skip", time.Second).Text(), "B-2: Dunmere Deep, 27G 13 mm needle")
	end := p.press("done for today", time.Second)
	wants(t, end.TextIn(300), "Bench session: 2 tests of 1 syringe", "B-1: Orrick Mid, 31G 8 mm needle: 3.5 s (test "+
		"145), none in 31 s (test 146); now:")
	if end.Share == nil {
		t.Fatal("the summary cannot be shared")
	}
	if shared := p.sent(p.asked(*end.Share), p.now); shared.Title != end.Title {
		t.Errorf("shared as\n%s", shared.Text())
	}
	wants(t, p.says("/bench box").Text(), "B-2")
	if strings.Contains(p.card.Text(), "B-1") {
		t.Errorf("what was tested still waits:\n%s", p.card.Text())
	}
}

func (p *presser) asked(req Request) Request { req.Asker = askingMember; return req }

// Whatever comes twice, late or in the wrong order, one test is stored at most, and with
// the seconds between the first press of each button.
func TestPressesThatComeTwiceLateOrInTheWrongOrder(t *testing.T) {
	start := func(t *testing.T) (*presser, Request) {
		p := newPresser(t)
		p.says("/bench aside orrick mid 31G 8 mm")
		p.says("/bench watch")
		return p, on(t, p.card, "plunger back")
	}
	second := func(n float64) time.Duration { return time.Duration(n * float64(time.Second)) }
	t.Run("back twice, the second with another time", func(t *testing.T) {
		p, back := start(t)
		p.sent(back, p.now)
		again := p.sent(back, p.now.Add(second(2)))
		wants(t, again.Text(), "pressed twice: the first press counts")
		p.sent(on(t, again, "blood shows"), p.now.Add(second(5)))
		if got := p.test(145).Seconds; got != 5 {
			t.Errorf("%g s, want 5", got)
		}
	})
	t.Run("back twice, the first comes in last", func(t *testing.T) {
		p, back := start(t)
		p.sent(back, p.now.Add(second(2)))
		running := p.sent(back, p.now)
		p.sent(on(t, running, "blood shows"), p.now.Add(second(5)))
		if got := p.test(145).Seconds; got != 5 {
			t.Errorf("%g s, want 5", got)
		}
	})
	t.Run("blood twice, then once more in an older message", func(t *testing.T) {
		p, back := start(t)
		shows := on(t, p.sent(back, p.now), "blood shows")
		p.sent(shows, p.now.Add(second(4)))
		p.sent(shows, p.now.Add(second(4.3)))
		p.sent(shows, p.now.Add(second(60)))
		if n := allTests(t, p.env); n != 145 || p.test(145).Seconds != 4 {
			t.Errorf("%d tests, %g s", n, p.test(145).Seconds)
		}
	})
	t.Run("blood twice, the first comes in last", func(t *testing.T) {
		p, back := start(t)
		shows := on(t, p.sent(back, p.now), "blood shows")
		p.sent(shows, p.now.Add(second(7)))
		p.sent(shows, p.now.Add(second(4)))
		p.sent(shows, p.now.Add(second(7)))
		if old, now := p.test(145), p.test(146); old.State != knowledge.Withdrawn || now.Seconds != 4 ||
			now.Corrects != 145 || allTests(t, p.env) != 146 {
			t.Errorf("%+v\n%+v", old, now)
		}
	})
	t.Run("blood before the plunger is back", func(t *testing.T) {
		p, back := start(t)
		shows := on(t, p.sent(back, p.now), "blood shows")
		wants(t, p.sent(shows, p.now.Add(-second(1))).Text(), "Nothing was stored: the plunger was not back yet.")
		if n := allTests(t, p.env); n != 144 {
			t.Errorf("%d tests", n)
		}
	})
	t.Run("started over: the old buttons count no more", func(t *testing.T) {
		p, back := start(t)
		running := p.sent(back, p.now)
		anew := p.sent(on(t, running, "start over"), p.now.Add(second(1)))
		wants(t, p.sent(on(t, running, "blood shows"), p.now.Add(second(3))).Text(),
			"Press when the plunger is at its mark.")
		p.sent(back, p.now.Add(second(4)))
		p.sent(on(t, anew, "plunger back"), p.now.Add(second(10)))
		p.says("/bench watch") // the message was lost: it is shown again
		p.sent(on(t, p.card, "blood shows"), p.now.Add(second(12.5)))
		if n := allTests(t, p.env); n != 145 || p.test(145).Seconds != 2.5 {
			t.Errorf("%d tests, %g s", n, p.test(145).Seconds)
		}
	})
	t.Run("forgotten", func(t *testing.T) {
		p, back := start(t)
		running := p.sent(back, p.now)
		wants(t, p.sent(on(t, running, "blood shows"), p.now.Add(time.Hour)).Text(),
			"Nothing was stored: 3600 s is longer than can be logged.")
		if n := allTests(t, p.env); n != 144 {
			t.Errorf("%d tests", n)
		}
	})
	t.Run("by somebody else", func(t *testing.T) {
		p, back := start(t)
		back.Asker, back.At = askingTrainer, p.now
		if card := Answer(context.Background(), p.env, back); !card.Refused {
			t.Errorf("%s", card.Text())
		}
	})
}

func TestTheLastTestOfAWatchIsTakenBackAndDoneAgain(t *testing.T) {
	p := newPresser(t)
	p.says("/bench aside orrick mid 31G 8 mm")
	p.says("/bench watch")
	p.press("plunger back", time.Second)
	p.press("blood shows", 2*time.Second)
	wants(t, p.card.Text(), "Test 2 of this syringe")
	back := p.press("take it back", time.Second)
	wants(t, back.Text(), "Test 1 of this syringe")
	if got := p.test(145); got.State != knowledge.Withdrawn {
		t.Errorf("%+v", got)
	}
	p.press("blocked needle", time.Second)
	wants(t, p.card.Text(), "Bench session: nothing was logged", "1 test taken back.",
		"Needle blocked, out of the box: B-1.")
	wants(t, p.says("/bench box").Text(), "Nothing waits.")
}

// A restart forgets nothing of a watch: what it was stands in the store.
func TestAWatchOutlivesTheProgram(t *testing.T) {
	p := newPresser(t)
	p.says("/bench aside orrick mid 31G 8 mm")
	p.says("/bench watch liquid:water temperature:21 pull:0.2")
	running := p.press("plunger back", time.Second)
	p.env = &Env{Group: p.env.Group, Now: p.env.Now, Log: p.env.Log} // nothing remembered
	p.sent(on(t, running, "blood shows"), p.now.Add(6200*time.Millisecond))
	if got := p.test(145); got.Seconds != 6.2 || got.Liquid != "water" || got.LiquidC != 21 || got.PullML != 0.2 {
		t.Errorf("%+v", got)
	}
}

func TestAFilmedTimeReplacesATappedOneInOneLine(t *testing.T) {
	p := newPresser(t)
	p.says("/bench aside orrick mid 31G 8 mm")
	p.says("/bench watch")
	p.press("plunger back", time.Second)
	p.press("blood shows", 5*time.Second)
	asked := p.says("correct last 0:12.40-0:17.13 60 fps")
	wants(t, asked.Text(), "Result: 5 s → 4.73 s", "Timing: by taps → video 60 fps")
	p.sent(p.asked(asked.Choices[0].Request), p.now)
	if old, now := p.test(145), p.test(146); old.State != knowledge.Withdrawn || now.Corrects != 145 ||
		now.Timing != "video 60 fps" {
		t.Errorf("%+v\n%+v", old, now)
	}
	wants(t, p.says("/bench watch").Text(), "Test 2 of this syringe", "Logged: B-1 4.73 s, test 146")
}

// Who films types what the film says at the label, and the session goes on.
func TestAFilmedResultIsTypedAtTheLabel(t *testing.T) {
	p := newPresser(t)
	p.says("/bench aside orrick mid 31G 8 mm")
	p.says("/bench watch")
	typed := func(result string) Card {
		req := on(t, p.card, "type it")
		if !WantsForm(req) {
			t.Fatal("opens no form")
		}
		form, card := Open(context.Background(), p.env, req)
		if form == nil {
			t.Fatal(card.Text())
		}
		req.Values, req.Filled = req.Keeping(form.Keep...), map[string]string{resultField: result}
		return p.sent(req, p.now)
	}
	for wrong, why := range map[string]string{"soon": "soon is not one result", "3.4, 5.6": "one result at a time",
		"0:17.13-0:12.40": "The end comes before the start."} {
		if card := typed(wrong); !card.Refused {
			t.Errorf("%s: %s", wrong, card.Text())
		} else {
			wants(t, card.Text(), why)
		}
	}
	if n := allTests(t, p.env); n != 144 {
		t.Fatalf("%d tests", n)
	}
	p.card = typed("0:12.40-0:17.13 60 fps (second pull)")
	wants(t, p.card.Text(), "Test 2 of this syringe", "Logged: B-1 4.73 s, test 145")
	if got := p.test(145); got.Timing != "video 60 fps" || got.Seconds != 4.73 || got.Film.Marks == "" ||
		got.Note != "second pull" {
		t.Errorf("%+v", got)
	}
	p.card = typed("none")
	if got := p.test(146); got.Outcome != knowledge.None || got.WatchedS != 30 || got.Timing != "stopwatch" {
		t.Errorf("%+v", got)
	}
}

// The receipt opens the correction at the part that is most often wrong, as it is.
func TestAReceiptOpensTheCorrectionAtItsPart(t *testing.T) {
	p := newPresser(t)
	logged := p.says("log orrick mid 31G 8 mm 7.13 s 60 fps")
	for part, want := range map[string]string{"seconds": "7.13 s", "needle": "31G 8 mm needle"} {
		req := on(t, logged, part)
		form, card := Open(context.Background(), p.env, req)
		if form == nil || !WantsForm(req) {
			t.Fatal(card.Text())
		}
		if form.Filled[testOption] != "145" || form.Filled[changeOption] != want {
			t.Errorf("%s: %v", part, form.Filled)
		}
	}
	changed := Request{Command: correctName, Asker: askingMember,
		Filled: map[string]string{testOption: "145", changeOption: "7.31 s"}}
	asked := p.sent(changed, p.now)
	wants(t, asked.Text(), "Result: 7.13 s → 7.31 s")
	p.sent(p.asked(asked.Choices[0].Request), p.now)
	if old, now := p.test(145), p.test(146); old.Seconds != 7.13 || old.State != knowledge.Withdrawn ||
		now.Seconds != 7.31 {
		t.Errorf("%+v\n%+v", old, now)
	}
}
