package logline

import "testing"

// 514 − 372 = 142 frames: 4.733 s at 30 a second, 2.367 s at 60, and 142 s if they are
// seconds; 17.13 − 12.4 = 4.73.
func TestTwoNumbersAreFramesOrSecondsOfAFilm(t *testing.T) {
	for _, c := range []struct {
		typed, timing string
		labels        []string
		say           int
		seconds       float64
	}{
		{"372-514", "", []string{"frames at 30 fps: 4.733 s", "frames at 60 fps: 2.367 s", "seconds: 142 s"}, 1, 2.367},
		{"372–514", "video 60 fps", []string{"frames at 60 fps: 2.367 s", "seconds: 142 s"}, 0, 2.367},
		{"372 to 514 frames", "", []string{"frames at 30 fps: 4.733 s", "frames at 60 fps: 2.367 s"}, 0, 4.733},
		{"12.4-17.13", "", []string{"seconds: 4.73 s"}, 0, 4.73},
		{"3720-5140", "", []string{"frames at 30 fps: 47.333 s", "frames at 60 fps: 23.667 s"}, 0, 47.333},
		{"3-4", "", []string{"seconds: 1 s"}, 0, 1},
		{"72.5-80", "", []string{"seconds: 7.5 s"}, 0, 7.5},
	} {
		var l Line
		if c.timing != "" {
			if err := l.Put(Timing, c.timing, demoDay); err != nil {
				t.Fatal(err)
			}
		}
		if err := l.Put(Result, c.typed, demoDay); err != nil || l.Ask == nil || len(l.Outcomes) > 0 {
			t.Errorf("%q: %v, %+v", c.typed, err, l)
			continue
		}
		var labels []string
		for _, a := range l.Ask.Answers {
			labels = append(labels, a.Label)
		}
		if len(labels) != len(c.labels) {
			t.Errorf("%q: offers %q", c.typed, labels)
			continue
		}
		for i := range labels {
			if labels[i] != c.labels[i] {
				t.Errorf("%q: offers %q, want %q", c.typed, labels[i], c.labels[i])
			}
		}
		again, understood := l.Answered(l.Ask.Answers[c.say].Say, demoDay)
		if !understood || len(again.Outcomes) != 1 || again.Outcomes[0].Seconds != c.seconds ||
			again.Film.Marks == "" || again.Ask != nil {
			t.Errorf("%q answered with %q: %t %+v, ask %+v", c.typed, l.Ask.Answers[c.say].Say, understood,
				again.Outcomes, again.Ask)
		}
	}
	var l Line
	if err := l.Put(Result, "17-12", demoDay); err == nil && l.Ask != nil && len(l.Ask.Answers) > 0 {
		t.Errorf("backwards: %+v", l.Ask)
	}
}
