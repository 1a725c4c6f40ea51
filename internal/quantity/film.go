package quantity

import (
	"regexp"
	"strings"
)

// Film is a time read off a film between two marks.
type Film struct {
	Seconds float64
	FPS     float64 // frames a second, 0 if not given
	Marks   string  // as typed
}

const (
	between   = `\s*(?:-|–|—|→|to|till|until|\.\.+)\s*`
	clockMark = `(?:(\d{1,2}):)?(\d{1,3}):(\d{1,2}(?:[.,]\d{1,3})?)`
	behind    = `(?:\s*[,;@(]?\s*(?:at|@)?\s*(\d{1,4}(?:[.,]\d{1,3})?)\s*` + RateUnit + `\)?)`
)

// The patterns of a film's marks: clock times, frames, frames counted from the pull on, and frames told by their rate.
const (
	ClockFilm = clockMark + between + clockMark + behind + `?`
	FrameFilm = `\b(?:frames?|f)\s*(\d{1,7})` + between + `(?:frames?|f)?\s*(\d{1,7})(?:\s*frames?\b)?` + behind + `?`
	CountFilm = `\b(\d{1,6})\s*(?:frames?|frms)\b` + behind + `?`
	RateFilm  = `\b(\d{1,7})` + between + `(\d{1,7})\s*(?:frames?\s*)?` + behind
)

var (
	clockFilm = regexp.MustCompile(`^` + ClockFilm + `$`)
	frameFilm = regexp.MustCompile(`^(?:` + FrameFilm + `)$`)
	countFilm = regexp.MustCompile(`^(?:` + CountFilm + `)$`)
	rateFilm  = regexp.MustCompile(`^(?:` + RateFilm + `)$`)
)

// ReadFilm reads the start and end of a film, "0:12.40–0:17.13" or "frames 372–514 at 30 fps", or how many frames it
// took, "142 frames at 30 fps". fps is its rate if that was given elsewhere, else 0. ok is false for any other text.
//
// Errors: *Problem.
func ReadFilm(text string, fps float64) (f Film, ok bool, err error) {
	if from, to, english := InEnglish(text); english != "" {
		if f, ok, err = ReadFilm(text[:from]+english+text[to:], fps); ok {
			f.Marks = strings.TrimSpace(text)
		}
		return f, ok, err
	}
	plain := strings.ToLower(strings.TrimSpace(text))
	f = Film{FPS: fps, Marks: strings.TrimSpace(text)}
	if m := clockFilm.FindStringSubmatch(plain); m != nil {
		start, startErr := markSeconds(m[1], m[2], m[3])
		end, endErr := markSeconds(m[4], m[5], m[6])
		if startErr != nil || endErr != nil {
			return f, true, problem(text, "%s is not a time on a film: write it like 0:12.40–0:17.13.", f.Marks)
		}
		if m[7] != "" {
			f.FPS, _ = Number(m[7]) // cannot fail: the pattern has a number
		}
		return f.over(end - start)
	}
	m := frameFilm.FindStringSubmatch(plain)
	if counted := countFilm.FindStringSubmatch(plain); m == nil && counted != nil {
		m = []string{"", "0", counted[1], counted[2]}
	}
	if m == nil {
		m = rateFilm.FindStringSubmatch(plain)
	}
	if m == nil {
		return Film{}, false, nil
	}
	if m[3] != "" {
		f.FPS, _ = Number(m[3])
	}
	if !(f.FPS > 0) {
		return f, true, problem(text, "How many frames a second has the film?")
	}
	start, _ := Number(m[1])
	end, _ := Number(m[2])
	return f.over((end - start) / f.FPS)
}

func (f Film) over(seconds float64) (Film, bool, error) {
	if !(seconds >= 0) { // 0 is within one frame
		return f, true, problem(f.Marks, "The end comes before the start.")
	}
	f.Seconds = thousandths(seconds)
	return f, true, nil
}

// markSeconds is a clock time on a film, s.
func markSeconds(h, m, s string) (float64, error) {
	seconds, err := Number(s)
	if err != nil {
		return 0, err
	}
	hours, minutes := 0.0, 0.0
	if h != "" {
		hours, _ = Number(h)
	}
	minutes, _ = Number(m)
	if seconds >= 60 || h != "" && minutes >= 60 {
		return 0, problem(s, "%s is not a time on a film.", s)
	}
	return hours*3600 + minutes*60 + seconds, nil
}
