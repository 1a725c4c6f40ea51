package commands

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"holdbench/internal/knowledge"
)

// usualFPS is taken for a film where its frames a second are not said: what
// phones film at unless told otherwise (practice); the confirmation says so.
const usualFPS = 30

// film is a time read off a film between two marks.
type film struct {
	seconds float64
	fps     float64 // 0 where it was not said
	marks   string  // as typed
}

// between stands between two marks; clockMark is one of them, rate the frames a
// second behind them.
const (
	between   = `\s*(?:-|–|—|−|→|to|till|until|\.\.+)\s*`
	clockMark = `(?:(\d{1,2}):)?(\d{1,3}):(\d{1,2}(?:[.,]\d{1,3})?)`
	perSecond = `(?:at|@)?\s*(\d{1,4}(?:[.,]\d{1,3})?)\s*(?:fps|frames? (?:a|per) second)`
	rate      = `(?:\s*[,;@(]?\s*` + perSecond + `\)?)?`
)

var (
	clockMarks = regexp.MustCompile(`(?i)` + clockMark + between + clockMark + rate)
	frameMarks = regexp.MustCompile(`(?i)\b(?:frames?|f)\s*(\d{1,7})` + between + `(?:frames?|f)?\s*(\d{1,7})(?:\s*frames?\b)?` + rate)
	frameRate  = regexp.MustCompile(`(?i)\b(\d{1,7})` + between + `(\d{1,7})\s*(?:frames?\s*)?[,;@(]?\s*` + perSecond + `\)?`)
	twoMarks   = regexp.MustCompile(`(?i)\d` + between + `\d`)
)

// readFilm reads a time given as start and end of a film, "0:12.40–0:17.13", or
// as its frames, "frames 372–514 at 30 fps". ok is false for what is neither.
// fps is the film's rate where it was said elsewhere, 0 where it was not.
//
// Errors: *UserError.
func readFilm(text string, fps float64) (f film, ok bool, err error) {
	text = strings.TrimSpace(text)
	if m := wholeMatch(clockMarks, text); m != nil {
		f, err = clockFilm(m, fps)
		f.marks = text
		return f, true, err
	}
	m := wholeMatch(frameMarks, text)
	if m == nil {
		m = wholeMatch(frameRate, text)
	}
	if m != nil {
		f, err = frameFilm(m, fps)
		f.marks = text
		return f, true, err
	}
	if twoMarks.MatchString(text) {
		return f, true, refuse("Write start and end as 0:12.40–0:17.13, or as frames 372–514 at 30 fps.", "%s can be read in two ways.", echo(text))
	}
	return f, false, nil
}

// wholeMatch is the match of all of a text, nil if there is none.
func wholeMatch(pattern *regexp.Regexp, text string) []string {
	at := pattern.FindStringIndex(text)
	if at == nil || at[0] != 0 || at[1] != len(text) {
		return nil
	}
	return pattern.FindStringSubmatch(text)
}

func clockFilm(m []string, fps float64) (film, error) {
	start, err := clockSeconds(m[1], m[2], m[3])
	if err != nil {
		return film{}, err
	}
	end, err := clockSeconds(m[4], m[5], m[6])
	if err != nil {
		return film{}, err
	}
	if m[7] != "" {
		fps = decimal(m[7])
	}
	return span(end-start, fps)
}

// clockSeconds is a mark in seconds: hours, minutes, seconds as digits.
func clockSeconds(h, m, s string) (float64, error) {
	minutes, seconds := decimal(m), decimal(s)
	if seconds >= 60 || h != "" && minutes >= 60 {
		return 0, refuse("Write it as minutes:seconds, as in 0:12.40.", "%s is not a time on a film.", echo(strings.TrimPrefix(h+":"+m+":"+s, ":")))
	}
	return decimal(h)*3600 + minutes*60 + seconds, nil
}

func frameFilm(m []string, fps float64) (film, error) {
	if m[3] != "" {
		fps = decimal(m[3])
	}
	if !(fps > 0) {
		return film{}, refuse("Add for example: at 30 fps.", "How many frames a second has the film?")
	}
	return span((decimal(m[2])-decimal(m[1]))/fps, fps)
}

// span checks a time between two marks and rounds off what the subtraction of
// decimals leaves over; no film is finer than a thousandth of a second.
func span(seconds, fps float64) (film, error) {
	if seconds < 0 {
		return film{}, refuse("Write the start first.", "The end comes before the start.")
	}
	return film{seconds: math.Round(seconds*1000) / 1000, fps: fps}, nil
}

// decimal is a number that a pattern has found, 0 for a group that was left out.
func decimal(digits string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(digits, ",", ".", 1), 64)
	if err != nil {
		return 0
	}
	return v
}

// filmed takes the stopwatch out of a request whose seconds are read off a film,
// where it holds for tests in general and not for this one: in a form it stands
// there before anything is typed.
func filmed(req Request) Request {
	if !strings.EqualFold(strings.TrimSpace(req.value("timing")), usualTiming) {
		return req
	}
	if _, film, err := readFilm(req.value("seconds"), usualFPS); !film || err != nil {
		return req
	}
	return req.with("timing", "")
}

// unroll writes a request whose seconds are read off a film as one with plain
// seconds and the film's timing. assumed names what was not said.
//
// Errors: *UserError.
func unroll(req Request) (again Request, marks string, assumed []string, err error) {
	timing := req.value("timing")
	_, fps, err := knowledge.ReadTiming(timing)
	if err != nil {
		fps = 0 // not said, or said wrongly: told where the timing is read
	}
	f, ok, err := readFilm(req.value("seconds"), fps)
	if !ok || err != nil {
		return req, "", nil, err
	}
	switch {
	case strings.EqualFold(timing, usualTiming):
		return req, "", nil, refuse("Give the seconds as read, or as the timing video and its frames a second.", "A stopwatch has no start and end to read off.")
	case f.fps > 0:
		req = req.with("timing", "video "+trimNumber(f.fps)+" fps")
	case timing == "":
		req = req.with("timing", "video "+trimNumber(usualFPS)+" fps")
		assumed = []string{trimNumber(usualFPS) + " frames a second"}
	}
	return req.with("seconds", trimNumber(f.seconds)), f.marks, assumed, nil
}
