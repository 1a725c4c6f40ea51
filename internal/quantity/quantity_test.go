package quantity

import (
	"errors"
	"testing"
	"time"
)

// What each text means is what a practitioner says of it; sums are mental arithmetic.
func TestTimesAreReadAsTheyAreTyped(t *testing.T) {
	for text, want := range map[string]float64{
		"7": 7, "7.13": 7.13, "7,13": 7.13, ".9": 0.9, ".9s": 0.9, "7.13s": 7.13, "7 sec": 7, "7 secs.": 7, "1:02": 62,
		"1:12": 72, "1:12.5": 72.5, "1m12s": 72, "1m12": 72,
		"1 min 3 s": 63, "a minute": 60, "one minute": 60, "half a minute": 30, "a minute and a half": 90,
		"1.5 min": 90, "2 minutes": 120, "seven seconds": 7,
		"seven point one s": 7.1, "twenty-two sec": 22, "0,25 s": 0.25, "quarter of a minute": 15, "0,900": 0.9,
	} {
		if got, err := Seconds(text); err != nil || got != want {
			t.Errorf("%q = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "1,300", "7-8", "<1 s", "7 mm", "s", "1:72", "1.2.3", "7 8", "-7", "1e3",
		"none", "7 s or 8"} {
		if got, err := Seconds(text); err == nil {
			t.Errorf("%q was read as %v", text, got)
		}
	}
	var p *Problem
	if _, err := Seconds("1,300 s"); !errors.As(err, &p) || len(p.Options) != 2 {
		t.Errorf("1,300 s: %v", err)
	}
}

func TestVolumesTemperaturesAndStrengths(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
		read func(string) (float64, error)
	}{
		{"0.05 ml", 0.05, Volume}, {"0,2 cc", 0.2, Volume}, {".1ml", 0.1, Volume}, {"50 ul",
			0.05, Volume}, {"0.1", 0.1, Volume}, {"0.2 mls", 0.2, Volume}, {"50 µl.", 0.05, Volume},
		{"0.3 cc.", 0.3, Volume},
		{"37c", 37, Temperature}, {"20 °C", 20, Temperature}, {"21.5", 21.5, Temperature}, {"22 deg c",
			22, Temperature}, {"4 degrees", 4, Temperature}, {"18°", 18, Temperature},
		{"40%", 40, Percent}, {"40", 40, Percent}, {"37,5 %", 37.5, Percent},
	} {
		if got, err := c.read(c.text); err != nil || got != c.want {
			t.Errorf("%q = %v, %v; want %v", c.text, got, err, c.want)
		}
	}
	for _, text := range []string{"98f", "0.2 mm", "1,300 ml", "a bit", "room"} {
		if got, err := Volume(text); err == nil {
			t.Errorf("volume %q was read as %v", text, got)
		}
		if got, err := Temperature(text); err == nil {
			t.Errorf("temperature %q was read as %v", text, got)
		}
	}
}

func TestWaysOfTiming(t *testing.T) {
	for text, want := range map[string]Timing{
		"60fps": {FPS: 60}, "slow-mo 240": {FPS: 240}, "slow mo at 240": {FPS: 240}, "video 30 fps": {FPS: 30},
		"video 30": {FPS: 30}, "240 fps slow-mo": {FPS: 240},
		"29.97 fps": {FPS: 29.97}, "Stopwatch": {Stopwatch: true}, "taps": {Taps: true},
		"120 frames per second": {FPS: 120}, "film, at 60 fps": {FPS: 60},
	} {
		if got, err := ReadTiming(text); err != nil || got != want {
			t.Errorf("%q = %+v, %v; want %+v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "60", "video", "slow-mo", "guess", "1,300 fps"} {
		if got, err := ReadTiming(text); err == nil {
			t.Errorf("%q was read as %+v", text, got)
		}
	}
}

func TestFilmsAreReadBetweenTheirMarks(t *testing.T) {
	// 17.13 − 12.40 = 4.73; (514 − 372) ÷ 30 = 4.7333…, kept to a thousandth
	for text, want := range map[string]Film{
		"0:12.40–0:17.13":         {Seconds: 4.73, FPS: 30},
		"0:12.40-0:17.13 60fps":   {Seconds: 4.73, FPS: 60},
		"0:58 to 1:02":            {Seconds: 4, FPS: 30},
		"frames 372–514 at 30fps": {Seconds: 4.733, FPS: 30},
		"f372-f514":               {Seconds: 4.733, FPS: 30},
		"372-514 @ 30 fps":        {Seconds: 4.733, FPS: 30},
	} {
		got, ok, err := ReadFilm(text, 30)
		if !ok || err != nil || got.Seconds != want.Seconds || got.FPS != want.FPS || got.Marks != text {
			t.Errorf("%q = %+v, %v, %v", text, got, ok, err)
		}
	}
	for _, text := range []string{"0:17-0:12", "frames 514-372 at 30 fps", "0:72-0:80"} {
		if got, ok, err := ReadFilm(text, 30); !ok || err == nil {
			t.Errorf("%q = %+v, %v", text, got, ok)
		}
	}
	if _, ok, _ := ReadFilm("7.13", 30); ok {
		t.Error("7.13 was read as a film")
	}
}

func TestDaysThatHaveBeen(t *testing.T) {
	today := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC) // a Saturday, by the calendar
	for text, want := range map[string]string{
		"today": "2026-11-28", "yesterday": "2026-11-27", "2 days ago": "2026-11-26",
		"last tuesday": "2026-11-24", "friday": "2026-11-27", "Sat": "2026-11-21",
		"19 nov": "2026-11-19", "nov 19": "2026-11-19", "19th of november": "2026-11-19", "27.11.": "2026-11-27",
		"27.11.26": "2026-11-27", "28/11/2026": "2026-11-28",
		"11/28/2026": "2026-11-28", "2026-05-14": "2026-05-14", "a week ago": "2026-11-21",
		"day before yesterday": "2026-11-26", "19 dec": "2025-12-19", "13/10": "2026-10-13",
		"4/4": "2026-04-04", "3 days ago": "2026-11-25", "last night": "2026-11-27", "19 nov 2025": "2025-11-19",
		"on monday": "2026-11-23",
	} {
		got, err := Day(text, today)
		if err != nil || got.Format(time.DateOnly) != want {
			t.Errorf("%q = %v, %v; want %s", text, got.Format(time.DateOnly), err, want)
		}
	}
	for _, text := range []string{"3/4", "2026-12-01", "29/11/2026", "tomorrow", "31 june", "40/1", "someday", "",
		"0/0", "1899-01-01"} {
		if got, err := Day(text, today); err == nil {
			t.Errorf("%q was read as %v", text, got)
		}
	}
}
