package logline

import (
	"regexp"
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

var (
	filmMarks = regexp.MustCompile(`(?:` + quantity.ClockFilm + `)|(?:` + quantity.FrameFilm + `)` +
		`|(?:` + quantity.RateFilm + `)`)
	frameCount = regexp.MustCompile(quantity.CountFilm)
	markBefore = regexp.MustCompile(`\d\s*(?:-|to|till|until)\s*$`)
	timedWith  = regexp.MustCompile(`\b(?:timed|clocked|timing)\s+(?:it\s+)?(?:by|on|with|off|using|w)\s+` +
		`(?:my\s+|the\s+|an?\s+)?` +
		`(?:(hand|timer|watch)|i?phone|mobile|cell(?:phone)?|tablet|camera)\b`)
	byTaps    = regexp.MustCompile(`\bby taps\b`)
	stopwatch = regexp.MustCompile(`\b(?:by |on |with )?(?:a )?(?:phone )?stop[ -]?watch\b`)
	frameRate = regexp.MustCompile(`(?:\b(?:video|film|filmed|slow?[- ]?mo(?:tion)?)\b\s*(?:at|@)?\s*)?(?:at` +
		`|@)?\s*(` + quantity.Decimal + `)\s*` + quantity.RateUnit + `\b(?:\s*(?:video|film` +
		`|slow?[- ]?mo(?:tion)?)\b)?`)
	filmWord = regexp.MustCompile(`\b(?:video|film|filmed|slow?[- ]?mo(?:tion)?)\b\s*(?:at|@)?\s*(24|25|30|48` +
		`|50|60|90|100|120|240|480|960)\b`)
	filmAlone = regexp.MustCompile(`\b(?:video|filmed|film|slow?[- ]?mo(?:tion)?)\b`)
)

var timings = offered("stopwatch", "30 fps", "60 fps", "240 fps")

func (r *reader) readTiming() {
	var marks string
	if m := filmMarks.FindIndex(r.plain); m != nil {
		marks = r.typed[m[0]:m[1]]
		r.take(m[0], m[1])
	}
	if m := stopwatch.FindIndex(r.plain); m != nil {
		r.take(m[0], m[1])
		r.Timing = &quantity.Timing{Stopwatch: true}
	}
	if m := byTaps.FindIndex(r.plain); m != nil {
		r.take(m[0], m[1])
		r.Timing = &quantity.Timing{Taps: true}
	}
	for _, pattern := range []*regexp.Regexp{frameRate, filmWord} {
		for m := pattern.FindSubmatchIndex(r.plain); m != nil; m = pattern.FindSubmatchIndex(r.plain) {
			text := r.typed[m[2]:m[3]]
			r.take(m[0], m[1])
			v, err := quantity.Number(text)
			if err != nil || r.Timing != nil && *r.Timing != (quantity.Timing{FPS: v}) || v < 5 || v > 2000 {
				r.ask(Question{Text: "How was it timed: " + strings.TrimSpace(text) + " frames a second?",
					kind: askTiming, Answers: timings})
				continue
			}
			r.Timing = &quantity.Timing{FPS: v}
		}
	}
	// Frames beside a time in seconds are only a remark: "4.2 s, 3 frames dropped".
	counted := false
	if m := frameCount.FindIndex(r.plain); m != nil && marks == "" && !flashed.Match(r.plain) &&
		!markBefore.Match(r.plain[:m[0]]) {
		marks, counted = r.take(m[0], m[1]), true
	}
	if m := filmAlone.FindIndex(r.plain); m != nil {
		r.take(m[0], m[1])
		if r.Timing == nil && !counted {
			r.ask(Question{Text: "How many frames a second has the film?", kind: askTiming, Answers: timings})
		}
	}
	if marks != "" {
		r.addFilm(marks)
	}
	r.readTimedWith()
}

// readTimedWith reads what it was timed with. A phone films and has a stopwatch.
func (r *reader) readTimedWith() {
	m := timedWith.FindSubmatchIndex(r.plain)
	if m == nil {
		return
	}
	said := r.take(m[0], m[1])
	switch {
	case r.Timing != nil:
	case m[2] >= 0:
		r.Timing = &quantity.Timing{Stopwatch: true}
	default:
		r.ask(Question{Text: "How was it " + strings.ToLower(said) + "?", kind: askTiming, Answers: timings})
	}
}

// addFilm reads the marks of a film. It asks for the frame rate if the time depends on it.
func (r *reader) addFilm(marks string) {
	fps := 0.0
	if r.Timing != nil {
		fps = r.Timing.FPS
	}
	f, _, err := quantity.ReadFilm(marks, fps)
	if err != nil {
		q := Question{Text: err.Error(), kind: askFilm, number: marks}
		if _, _, unrated := quantity.ReadFilm(marks, 30); unrated == nil { // any rate will do to tell
			q.Answers = offered("30 fps", "60 fps")
		}
		r.ask(q)
		return
	}
	if lower := strings.ToLower(r.raw); len(lower) == len(r.raw) {
		if m := filmMarks.FindStringIndex(lower); m != nil {
			f.Marks = strings.TrimSpace(r.raw[m[0]:m[1]])
		}
	}
	r.Film = f
	if f.FPS > 0 {
		r.Timing = &quantity.Timing{FPS: f.FPS}
	}
	if frameCount.MatchString(marks) { // they may not be counted from the pull on
		r.ask(Question{Text: marks + " are " + trade.Number(f.Seconds) + " s at " + trade.Number(f.FPS) +
			" frames a second. Is it right?", kind: askYes, Answers: offered("yes")})
	}
	r.Outcomes = append(r.Outcomes, Outcome{Flashback: true, Seconds: f.Seconds, Typed: trade.Number(f.Seconds)})
}
