package quantity

import (
	"errors"
	"strings"
	"testing"
)

func TestTimesAreReadOffAFilm(t *testing.T) {
	cases := []struct {
		text    string
		fps     float64
		seconds float64
		atFPS   float64
	}{
		{"0:12.40–0:17.13", 0, 4.73, 0},
		{"0:12.40 - 0:17.13", 60, 4.73, 60},
		{"0:12,40 to 0:17,13", 0, 4.73, 0},
		{"00:12→00:17", 0, 5, 0},
		{"1:59.5-2:00.25", 0, 0.75, 0},
		{"1:00:00 - 1:00:03.5", 0, 3.5, 0},
		{"0:12.40–0:17.13 at 240 fps", 30, 4.73, 240},
		{"0:12.40–0:12.40", 0, 0, 0},
		{"frames 372–514 at 30 fps", 0, 4.733, 30},
		{"frames 372-514", 30, 4.733, 30},
		{"frame 0 to frame 60 @ 60fps", 0, 1, 60},
		{"f100-f130, 30 frames per second", 0, 1, 30},
		{"372-514 (30 fps)", 0, 4.733, 30},
		{"372 – 514 at 29.97 fps", 0, 4.738, 29.97},
		{"142 Bilder, 30 Bilder/s", 0, 4.733, 30},
		{"142 klatki", 60, 2.367, 60},
	}
	for _, c := range cases {
		got, ok, err := ReadFilm(c.text, c.fps)
		if !ok || err != nil || got.Seconds != c.seconds || got.FPS != c.atFPS || got.Marks != c.text {
			t.Errorf("%q at %g fps: %+v, %t, %v; want %g s at %g fps", c.text, c.fps, got, ok, err, c.seconds, c.atFPS)
		}
	}
}

func TestTimesThatAreNoneOnAFilmAreLeftAlone(t *testing.T) {
	for _, text := range []string{"", "4.73", "7,1 s", "none", "12:30", "0:12.40", "-3", "about 4"} {
		if got, ok, err := ReadFilm(text, 30); ok || err != nil {
			t.Errorf("%q: %+v, %t, %v", text, got, ok, err)
		}
	}
}

func TestFilmsThatCannotBeReadSayWhy(t *testing.T) {
	cases := map[string]string{
		"0:17.13-0:12.40":       "before the start",
		"0:72.40-0:77.13":       "not a time on a film",
		"1:60:00 - 1:60:03":     "not a time on a film",
		"frames 372-514":        "How many frames",
		"frames 5-6 at 0 fps":   "How many frames",
		"frames 514-372, 30fps": "before the start",
	}
	for text, want := range cases {
		_, ok, err := ReadFilm(text, 0)
		var p *Problem
		if !ok || !errors.As(err, &p) || !strings.Contains(p.Why, want) {
			t.Errorf("%q: %t, %v; want %q", text, ok, err, want)
		}
	}
}

func FuzzFilm(f *testing.F) {
	for _, text := range []string{"0:12.40–0:17.13", "frames 372–514 at 30 fps", "372-514 (30 fps)", "3-4", ""} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, ok, err := ReadFilm(text, 30)
		if ok && err == nil && !(got.Seconds >= 0) {
			t.Errorf("%q is %g s", text, got.Seconds)
		}
	})
}
