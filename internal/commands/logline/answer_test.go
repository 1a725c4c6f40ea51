package logline

import (
	"testing"
	"time"

	"holdbench/internal/commands/question"
)

// What each answer makes of the line is what a practitioner means by it.
func TestAFewWordsAnswerTheQuestion(t *testing.T) {
	ix := demoIndex()
	for _, c := range []struct {
		text, answer string
		want         func(Line) bool
	}{
		{"orrick mid 27g 13mm none", "30", func(l Line) bool { return !l.Outcomes[0].Flashback && l.Outcomes[0].WatchedS == 30 }},
		{"orrick mid 27g 13mm none", "30 s", func(l Line) bool { return l.Outcomes[0].WatchedS == 30 }},
		{"orrick mid 27g 13mm none", "a minute", func(l Line) bool { return l.Outcomes[0].WatchedS == 60 }},
		{"orrick mid 27g 13mm 400 s", "yes", func(l Line) bool { return l.Outcomes[0].Seconds == 400 }},
		{"orrick mid 27g 13mm 400 s", "tak", func(l Line) bool { return l.Outcomes[0].Seconds == 400 }}, // Polish
		{"orrick mid 27g 13mm 400 s", "log it", func(l Line) bool { return l.Outcomes[0].Seconds == 400 }},
		{"orrick mid 27g 13mm 400 s", "4 s", func(l Line) bool { return l.Outcomes[0].Seconds == 4 }},
		{"orrick mid 27g 13mm 7-8 s", "7", func(l Line) bool { return l.Outcomes[0].Seconds == 7 }},
		{"orrick mid 27g 13mm 7.1 s 3/4", "2026-04-03", func(l Line) bool { return l.Day.Format(time.DateOnly) == "2026-04-03" }},
		{"orrick mid 27g 13mm 7.1 s 3/4", "4 mar", func(l Line) bool { return l.Day.Format(time.DateOnly) == "2026-03-04" }},
		{"orrick mid 27g 13mm 7.1 s video", "60 fps", func(l Line) bool { return l.Timing.FPS == 60 }},
		{"orrick mid 27g 13mm 7.1 s video", "60", func(l Line) bool { return l.Timing.FPS == 60 }},
		{"orrick mid 27g 13mm frames 372-514", "30 fps", func(l Line) bool { return l.Outcomes[0].Seconds == 4.733 }},
		{"orrick mid 27g 13mm 7.1 s 3 ml", "0.1 ml", func(l Line) bool { return l.PullML == 0.1 }},
		{"orrick mid 27g 13mm 7.1 s glycerol", "40", func(l Line) bool { return l.Liquid == "glycerol-water 40%" }},
		{"orrick mid 27g 13mm 2.1 2.4 1.9", "yes", func(l Line) bool { return len(l.Outcomes) == 3 && l.Outcomes[1].Seconds == 2.4 }},
		{"orrick mid 27g 13mm 2.1 2.4 1.9", "2.4 s", func(l Line) bool { return len(l.Outcomes) == 1 && l.Outcomes[0].Seconds == 2.4 }},
		{"orrick mid 27g 13mm 7.1 s syringe 3", "note", func(l Line) bool { return l.Note == "3" }},
		{"orrick mid 27g 13mm", "none in 45", func(l Line) bool { return l.Outcomes[0].WatchedS == 45 && !l.Outcomes[0].Flashback }},
		{"orrick mid 27g 13mm", "1:12", func(l Line) bool { return l.Outcomes[0].Seconds == 72 }},
	} {
		l := ReadLog(c.text, ix, demoDay)
		if l.Ask == nil || ready(l) {
			t.Errorf("%q asks nothing", c.text)
			continue
		}
		again, ok := l.Answered(c.answer, demoDay)
		if !ok || !c.want(again) || !ready(again) {
			t.Errorf("%q, %q: understood %v, asks %+v, %+v", c.text, c.answer, ok, again.Ask, again.Outcomes)
		}
		if _, ok := l.Answered("hm what", demoDay); ok {
			t.Errorf("%q: hm what was understood", c.text)
		}
	}
}

func TestEveryButtonAnswersItsQuestion(t *testing.T) {
	ix := demoIndex()
	asked := 0
	for _, name := range []string{"lines.jsonl", "strangers.jsonl"} {
		for _, want := range readLines(t, name) {
			l := ReadLog(want.Text, ix, demoDay)
			if l.Ask == nil || l.Setup.Outcome != question.One {
				continue
			}
			for _, a := range l.Ask.Answers {
				asked++
				if _, ok := l.Answered(a.Say, demoDay); !ok {
					t.Errorf("%q asks %q, and %q does not answer it", want.Text, l.Ask.Text, a.Say)
				}
			}
		}
	}
	if asked < 50 {
		t.Errorf("only %d buttons", asked)
	}
}

func TestFieldsAreReadAsLinesAre(t *testing.T) {
	for _, c := range []struct {
		field Field
		text  string
		want  func(Line) bool
	}{
		{Result, "7.13s", func(v Line) bool { return v.Outcomes[0].Seconds == 7.13 }},
		{Result, "7 sec", func(v Line) bool { return v.Outcomes[0].Seconds == 7 }},
		{Result, "1:02", func(v Line) bool { return v.Outcomes[0].Seconds == 62 }},
		{Result, "none", func(v Line) bool { return !v.Outcomes[0].Flashback }},
		{Result, "None in 45", func(v Line) bool { return !v.Outcomes[0].Flashback && v.Outcomes[0].WatchedS == 45 }},
		{Result, "no flash 45 s", func(v Line) bool { return v.Outcomes[0].WatchedS == 45 }},
		{Result, ".9", func(v Line) bool { return v.Outcomes[0].Seconds == 0.9 }},
		{Result, "0:12.40–0:17.13 60fps", func(v Line) bool { return v.Outcomes[0].Seconds == 4.73 && v.Film.FPS == 60 }},
		{Result, "frames 372-514 at 60 fps", func(v Line) bool { return v.Outcomes[0].Seconds == 2.367 && v.Timing.FPS == 60 }},
		{Result, "2.2 (second pull)", func(v Line) bool { return v.Outcomes[0].Seconds == 2.2 && v.Note == "second pull" }},
		{Timing, "60fps", func(v Line) bool { return v.Timing.FPS == 60 }},
		{Timing, "slow-mo 240", func(v Line) bool { return v.Timing.FPS == 240 }},
		{Timing, "stopwatch", func(v Line) bool { return v.Timing.Stopwatch }},
		{Date, "friday", func(v Line) bool { return v.Day.Format(time.DateOnly) == "2026-11-27" }},
		{Date, "3 days ago", func(v Line) bool { return v.Day.Format(time.DateOnly) == "2026-11-25" }},
		{Date, "28/11/2026", func(v Line) bool { return v.Day.Equal(demoDay) }},
		{Pull, "0,2 cc", func(v Line) bool { return v.PullML == 0.2 }},
		{Temperature, "37c", func(v Line) bool { return *v.LiquidC == 37 }},
		{Watched, "1 min", func(v Line) bool { return v.WatchedS() == 60 }},
		{Liquid, "glycerine 40%", func(v Line) bool { return v.Liquid == "glycerol-water 40%" }},
		{Liquid, "milk", func(v Line) bool { return v.Liquid == "whole milk" }},
		{Liquid, "Beet juice", func(v Line) bool { return v.Liquid == "Beet juice" }},
	} {
		var v Line
		if err := v.Put(c.field, c.text, demoDay); err != nil || v.Ask != nil && v.Ask.kind != askWatched ||
			!c.want(v) {
			t.Errorf("%s %q: %+v, %v", c.field, c.text, v, err)
		}
	}
	for _, c := range []struct {
		field Field
		text  string
	}{
		{Result, "7-8"}, {Result, "<1"}, {Result, "7 8"}, {Result, ""}, {Result, "quick"}, {Result, "400 s"},
		{Result, "none 7 s 8 s"}, {Result, "1,300"}, {Timing, "video"},
		{Date, "3/4"}, {Date, "tomorrow"}, {Pull, "3"}, {Pull, "0.2 mm"}, {Temperature, "98f"}, {Temperature, "80"},
		{Watched, "0"}, {Watched, "ages"}, {Liquid, "glycerol"},
	} {
		var v Line
		if err := v.Put(c.field, c.text, demoDay); err == nil && v.Ask == nil {
			t.Errorf("%s %q was read as %+v", c.field, c.text, v)
		}
	}
}

func TestSessionsAreReadLabelByLabel(t *testing.T) {
	results, stray := ReadSession("B-1 3.4, B-2 none; B-3 0:12.40-0:17.13 30fps\nb4: 2.2 (second pull), 7.1s\nB-5 " +
		"7-8 B-6")
	want := []struct {
		number  int
		seconds float64
		problem bool
	}{{1, 3.4, false}, {2, 0, false}, {3, 4.73, false}, {4, 2.2, false}, {4, 7.1, false}, {5, 0, true}, {6, 0, true}}
	if stray != "" || len(results) != len(want) {
		t.Fatalf("%q, %+v", stray, results)
	}
	for i, r := range results {
		seconds := 0.0
		if r.Problem == "" {
			seconds = r.Line.Outcomes[0].Seconds
		}
		if r.Number != want[i].number || seconds != want[i].seconds || (r.Problem != "") != want[i].problem {
			t.Errorf("%d: %+v", i, r)
		}
	}
	if _, stray := ReadSession("yesterday B-2 7"); stray != "yesterday" {
		t.Errorf("stray %q", stray)
	}
}
