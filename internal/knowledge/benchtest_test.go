package knowledge

import (
	"math"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

func TestTestsThatCannotHaveHappenedAreRefused(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	for _, c := range []struct {
		scene, field string
		change       func(*BenchTest)
	}{
		{"no such day", "date", func(x *BenchTest) { x.TestedOn = "2026-02-30" }},
		{"another order of the day", "date", func(x *BenchTest) { x.TestedOn = "20.11.2026" }},
		{"no day", "date", func(x *BenchTest) { x.TestedOn = "" }},
		{"tomorrow", "date", func(x *BenchTest) { x.TestedOn = "2026-11-26" }},
		{"no liquid", "liquid", func(x *BenchTest) { x.Liquid = " " }},
		{"boiling liquid", "liquid temperature", func(x *BenchTest) { x.LiquidC = 100 }},
		{"no number for the liquid", "liquid temperature", func(x *BenchTest) { x.LiquidC = math.NaN() }},
		{"no pull", "pull", func(x *BenchTest) { x.PullML = 0 }},
		{"pull in microlitres", "pull", func(x *BenchTest) { x.PullML = 100 }},
		{"pull without end", "pull", func(x *BenchTest) { x.PullML = math.Inf(1) }},
		{"not watched", "time watched", func(x *BenchTest) { x.WatchedS = 0 }},
		{"watched for a day", "time watched", func(x *BenchTest) { x.WatchedS = 86400 }},
		{"flashback after watching", "seconds", func(x *BenchTest) { x.Seconds = 31 }},
		{"flashback before drawing", "seconds", func(x *BenchTest) { x.Seconds = -1 }},
		{"flashback at no time", "seconds", func(x *BenchTest) { x.Seconds = math.NaN() }},
		{"something else was typed", "seconds", func(x *BenchTest) { x.SecondsTyped = "3.4" }},
		{"words were typed", "seconds", func(x *BenchTest) { x.SecondsTyped = "soon" }},
		{"none with seconds", "seconds", func(x *BenchTest) { x.Outcome = None }},
		{"another outcome", "outcome", func(x *BenchTest) { x.Outcome = "maybe" }},
		{"another timing", "timing", func(x *BenchTest) { x.Timing = "hourglass" }},
		{"a film of no frames", "frames a second", func(x *BenchTest) { x.Timing = "video 0 fps" }},
		{"a note without end", "note", func(x *BenchTest) { x.Note = strings.Repeat("long ", 50) }},
		{"a note of two lines", "note", func(x *BenchTest) { x.Note = "one\ntwo" }},
		{"a note about somebody", "note", func(x *BenchTest) { x.Note = "dob 12/03/1980" }},
		{"a liquid that is somebody", "liquid", func(x *BenchTest) { x.Liquid = "blood of mrn 448812" }},
		{"an endless request key", "request key", func(x *BenchTest) { x.RequestKey = strings.Repeat("k", 300) }},
	} {
		test := shown(3.3)
		c.change(&test)
		_, err := g.LogTest(t.Context(), test)
		if err == nil {
			t.Errorf("%s: was logged", c.scene)
			continue
		}
		refused(t, err, c.field)
	}
	if tests := must(g.Tests(t.Context(), TestFilter{}))(t); len(tests) != 0 {
		t.Errorf("%d refused tests were stored", len(tests))
	}
}

func TestTheDayIsThatOfTheCommunity(t *testing.T) {
	t.Parallel()
	s := openStore(t) // its clock says noon UTC on the 25th
	for zone, want := range map[string]bool{"Pacific/Kiritimati": true, "UTC": false} {
		g := must(s.Found(t.Context(), NewCommunity{Ref: zone, Name: zone, Zone: zone}))(t)
		must(g.AddProduct(t.Context(), trade.Product{Name: "Orrick Mid"}))(t)
		must(g.Admit(t.Context(), Member{Ref: "osier"}))(t)
		test := shown(3.3)
		test.TestedOn = "2026-11-26" // has begun at UTC+14
		if _, err := g.LogTest(t.Context(), test); (err == nil) != want {
			t.Errorf("%s: %v", zone, err)
		}
	}
}

func TestSeemingEdgesAreLegal(t *testing.T) {
	t.Parallel()
	for scene, change := range map[string]func(*BenchTest){
		"at once, on the first frame": func(x *BenchTest) { x.Seconds = 0 },
		"just when watching ended":    func(x *BenchTest) { x.Seconds = x.WatchedS },
		"a whole millilitre":          func(x *BenchTest) { x.PullML = 1 },
		"none":                        func(x *BenchTest) { x.Outcome, x.Seconds = None, 0 },
		"today":                       func(x *BenchTest) { x.TestedOn = "2026-11-25" },
	} {
		test := shown(3.3)
		test.LoggedAt = stopped
		change(&test)
		if err := test.Validate(); err != nil {
			t.Errorf("%s: %v", scene, err)
		}
	}
}

func TestATestIsAnIntervalByHowItWasTimed(t *testing.T) {
	t.Parallel()
	pull := 0.1 * calc.Millilitre
	for timing, want := range map[string]calc.Trial{
		"video 50 fps": must(calc.TimedTrial(pull, 3.3, calc.FilmError(50)))(t),
		"stopwatch":    must(calc.TimedTrial(pull, 3.3, calc.StopwatchError))(t),
		"by taps":      must(calc.TimedTrial(pull, 3.3, calc.TapError))(t),
	} {
		test := shown(3.3)
		test.Timing = timing
		if got := must(test.Trial())(t); !sameTrial(got, want) {
			t.Errorf("%s: got %+v, want %+v", timing, got, want)
		}
	}
	none := shown(0)
	none.Outcome = None
	if got := must(none.Trial())(t); !sameTrial(got, must(calc.NoneTrial(pull, 30))(t)) || !got.None() {
		t.Errorf("got %+v", got)
	}
}

// How far each way of timing can be off is stated in docs/method.md.
func TestATestIsToldToTheLastDigitThatItsTimingCarries(t *testing.T) {
	t.Parallel()
	for timing, want := range map[string]float64{"video 30 fps": 3.43, "video 5 fps": 3.4, "stopwatch": 3.4,
		"by taps": 3.5, "sundial": 3.432} {
		test := shown(3.432)
		if test.Timing = timing; test.Told() != want {
			t.Errorf("%s: %g s, want %g", timing, test.Told(), want)
		}
	}
}

func sameTrial(a, b calc.Trial) bool {
	return near(float64(a.Pull)*1e6, float64(b.Pull)*1e6) && a.From == b.From && a.To == b.To
}

func TestTimingsAreReadForgivinglyAndStoredOneWay(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"video 30 fps": "video 30 fps", "Video 30fps": "video 30 fps", "video 240": "video 240 fps",
		"video at 59,94 fps": "video 59.94 fps",
		"video, 60 fps":      "video 60 fps", " Stopwatch ": "stopwatch", "film 30 fps": "video 30 fps",
		"video 30 Hz": "video 30 fps", "By Taps": "by taps", "taps": "by taps",
	} {
		if got, err := readTiming(text); err != nil || got.String() != want {
			t.Errorf("%q: %q, %v; want %q", text, got, err, want)
		}
	}
	for _, text := range []string{"", "video", "30", "video 1,300 fps", "video 1 fps", "video 9999 fps",
		"stopwatch 2"} {
		if got, err := readTiming(text); err == nil {
			t.Errorf("%q was read as %q", text, got.String())
		}
	}
}
