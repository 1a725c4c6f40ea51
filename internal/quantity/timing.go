package quantity

import (
	"regexp"
	"strconv"
	"strings"
)

// Timing is how a test was timed.
type Timing struct {
	Stopwatch bool
	Taps      bool    // by pressing buttons in the chat
	FPS       float64 // frames a second of a film; 0 for the others
}

// ByTaps is the timing by pressing buttons in the chat.
const ByTaps = "by taps"

// String is the text that is stored: "stopwatch", "by taps", "video 30 fps".
func (t Timing) String() string {
	switch {
	case t.Stopwatch:
		return "stopwatch"
	case t.Taps:
		return ByTaps
	}
	return "video " + strconv.FormatFloat(t.FPS, 'f', -1, 64) + " fps"
}

// storedTiming reads the text that is stored. It uses no pattern, because every line of a log has one.
func storedTiming(text string) (t Timing, is bool) {
	switch text {
	case Timing{Stopwatch: true}.String():
		return Timing{Stopwatch: true}, true
	case ByTaps:
		return Timing{Taps: true}, true
	}
	number, film := strings.CutPrefix(text, "video ")
	if !film || number == "" || number[0] < '0' || number[0] > '9' {
		return t, false
	}
	t.FPS, _ = strconv.ParseFloat(strings.TrimSuffix(number, " fps"), 64)
	return t, t.String() == text
}

var timedBy = regexp.MustCompile(`^(?:(?:video|film|filmed|slow[- ]?mo(?:tion)?|camera|phone` +
	`|iphone)?,?\s*(?:at|@)?\s*)(` + Decimal + `)\s*` + RateUnit + `?(?:\s*(?:video|film|slow[- ]?mo(?:tion)?))?$`)

// ReadTiming reads "stopwatch", "by taps", "60fps", "video 30 fps", "slow-mo 240". A number without its unit is
// frames a second only behind a word for film.
//
// Errors: *Problem.
func ReadTiming(text string) (Timing, error) {
	if t, is := storedTiming(text); is {
		return t, nil
	}
	if from, to, english := InEnglish(text); english != "" {
		return ReadTiming(text[:from] + english + text[to:])
	}
	plain := strings.ToLower(strings.Join(strings.Fields(text), " "))
	switch plain {
	case "stopwatch", "stop watch", "stop-watch", "by stopwatch", "timer", "watch", "by hand":
		return Timing{Stopwatch: true}, nil
	case ByTaps, "taps":
		return Timing{Taps: true}, nil
	}
	m := timedBy.FindStringSubmatch(plain)
	if m == nil || wholeNumber.MatchString(plain) {
		return Timing{},
			problem(text, "%s is no way of timing: write stopwatch, or a film's frames a second, like 60 fps.", plain)
	}
	v, err := Number(m[1])
	return Timing{FPS: v}, err
}
