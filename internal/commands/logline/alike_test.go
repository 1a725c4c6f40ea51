package logline

import "testing"

func TestSeveralTestsAlikeAreAskedAbout(t *testing.T) {
	for text, want := range map[string]struct {
		asks, answer string
		tests        int
	}{
		"log orrick mid 27g 13mm 3.1 x3":             {"Had each of 3 tests 3.1 s? A mean is no test.", "yes", 3},
		"log orrick mid 27g 13mm 2x 3.1 s":           {"Had each of 2 tests 3.1 s? A mean is no test.", "3.1 s", 1},
		"log orrick mid 27g 13mm none in 60 s x3":    {"Had each of 3 tests none in 60 s? A mean is no test.", "yes", 3},
		"log orrick mid 27g 13mm x3":                 {"x3: 3 tests? Write the seconds of each.", "4.2", 1},
		"log orrick mid 27g 13mm 33 frames":          {"How many frames a second has the film?", "60 fps", 1},
		"log orrick mid 27g 13mm 33 frames at 60fps": {"33 frames are 0.55 s at 60 frames a second. Is it right?", "yes", 1},
		"log orrick mid 27g 13mm 4.5 timed by phone": {"How was it timed by phone?", "stopwatch", 1},
	} {
		line := ReadLog(text, demoIndex(), demoDay)
		if line.Ask == nil || line.Ask.Text != want.asks {
			t.Errorf("%q asks %+v, want %q", text, line.Ask, want.asks)
			continue
		}
		if line, understood := line.Answered(want.answer, demoDay); !understood || len(line.Outcomes) != want.tests ||
			line.Ask != nil {
			t.Errorf("%q, %q: %d tests, asks %+v, want %d tests", text, want.answer, len(line.Outcomes), line.Ask,
				want.tests)
		}
	}
	for text, mm := range map[string]float64{"log pellow lip 30g x4 3.1s": 4, "log pellow lip 30 x 4 3.1 s": 4} {
		if line := ReadLog(text, demoIndex(), demoDay); line.Ask != nil || line.Setup.Instrument.LengthMM != mm {
			t.Errorf("%q: %+v", text, line)
		}
	}
}
