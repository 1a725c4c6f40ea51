package logline

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

var (
	wordedDay = regexp.MustCompile(`(?:^|[\s,;(])(?:on\s+)?(` + quantity.WordedDay + `)(?:$|[\s,;:.)?])`)
	figureDay = regexp.MustCompile(`(?:^|[\s,;(])(?:on\s+)?(\d{1,2}/\d{1,2}|\d{1,2}\.\d{1,2}\.)(?:$|[\s,;)])`)
	inchSoon  = regexp.MustCompile(`^\s*(?:"|''|inch|in\b)`)
	sizeSoon  = regexp.MustCompile(`(?:\dg|gauge|gg|x|(?:^|\s)\d)\s*(?:x|by|,)?\s*$`)
)

// readDays finds the day of the test.
func (r *reader) readDays() {
	for _, pattern := range []*regexp.Regexp{wordedDay, figureDay} {
		for m := pattern.FindSubmatchIndex(r.plain); m != nil; m = pattern.FindSubmatchIndex(r.plain) {
			if pattern == figureDay && !r.isDay(m[2], m[3]) {
				break
			}
			text := r.typed[m[2]:m[3]]
			joined := m[2] > 1 && r.plain[m[2]-1] == ',' && isDigit(r.plain[m[2]-2]) && isDigit(r.plain[m[2]])
			if r.take(m[2], m[3]); joined { // "7,1 nov": part of a number, or not
				r.askWhetherOn(text)
				continue
			}
			r.addDay(text)
		}
	}
}

// number is the value of what a pattern found to be one.
func number(digits string) float64 {
	v, _ := quantity.Number(digits) // the pattern was met
	return v
}

// isDay reports whether two figures with a stroke or a point are no size and no
// seconds.
func (r *reader) isDay(from, to int) bool {
	if a, b, ok := strings.Cut(string(r.plain[from:to]), "/"); ok {
		if first, second := int(number(a)), int(number(b)); first > 12 && second > 12 || first > 31 || second > 31 {
			return false // "27/13" is a size
		}
		return !inchSoon.Match(r.plain[to:]) && !sizeSoon.Match(r.plain[:from])
	}
	before, after := r.plain[:from], r.plain[to:]
	return resulted.Match(before) || resulted.Match(after) || strings.HasSuffix(strings.TrimSpace(string(before)),
		" on")
}

func (r *reader) askWhetherOn(day string) {
	r.ask(Question{Text: "Was the test " + day + "?", kind: askDay, Answers: offered(day, "today")})
}

func (r *reader) addDay(text string) {
	day, err := quantity.Day(text, r.today)
	var p *quantity.Problem
	switch {
	case errors.As(err, &p) && len(p.Options) > 0:
		r.ask(Question{Text: "Which day is " + strings.TrimSpace(text) + "?", kind: askDay,
			Answers: offered(p.Options...)})
	case err != nil:
		r.ask(Question{Text: err.Error() + " Which day was the test?", kind: askDay,
			Answers: offered("today", "yesterday")})
	case !r.Day.IsZero() && !r.Day.Equal(day):
		a, b := r.Day.Format(time.DateOnly), day.Format(time.DateOnly)
		r.ask(Question{Text: "Two days are named. Which was it?", kind: askDay, Answers: offered(a, b)})
	case r.today.Sub(day) > longAgo && !yearSaid.MatchString(text):
		was := day.Format(time.DateOnly)
		r.ask(Question{Text: "Was the test on " + was + "?", kind: askDay, Answers: offered(was, "today")})
	default:
		r.Day = day
	}
}

// longAgo is the age from which a day without its year is asked about: 30/11, typed on the 28th, is rather a slip
// than a test of a year ago (project's choice).
const longAgo = 180 * 24 * time.Hour

var yearSaid = regexp.MustCompile(`\d{4}|\d+[./-]\d+[./-]\d+|year|months? ago|\d\s+[a-z]+\.?\s+'?\d\d$`)

var (
	filmMarks = regexp.MustCompile(`(?:` + quantity.ClockFilm + `)|(?:` + quantity.FrameFilm + `)` +
		`|(?:` + quantity.RateFilm + `)`)
	frameCount = regexp.MustCompile(quantity.CountFilm)
	markBefore = regexp.MustCompile(`\d\s*(?:-|to|till|until)\s*$`)
	timedWith  = regexp.MustCompile(`\b(?:timed|clocked|timing)\s+(?:it\s+)?(?:by|on|with|off|using|w)\s+(?:my\s+|the\s+|an?\s+)?` +
		`(?:(hand|timer|watch)|i?phone|mobile|cell(?:phone)?|tablet|camera)\b`)
	byTaps    = regexp.MustCompile(`\bby taps\b`)
	stopwatch = regexp.MustCompile(`\b(?:by |on |with )?(?:a )?(?:phone )?stop[ -]?watch\b`)
	frameRate = regexp.MustCompile(`(?:\b(?:video|film|filmed|slow?[- ]?mo(?:tion)?)\b\s*(?:at|@)?\s*)?(?:at` +
		`|@)?\s*(` + quantity.Decimal + `)\s*` + quantity.RateUnit + `\b(?:\s*(?:video|film` +
		`|slow?[- ]?mo(?:tion)?)\b)?`)
	filmWord = regexp.MustCompile(`\b(?:video|film|filmed|slow?[- ]?mo(?:tion)?)\b\s*(?:at|@)?\s*(24|25|30|48` +
		`|50|60|90|100|120|240|480|960)\b`)
	filmAlone = regexp.MustCompile(`\b(?:video|filmed|film|slow?[- ]?mo(?:tion)?)\b`)
	glycerol  = regexp.MustCompile(`\b(?:(` + quantity.Decimal + `)\s*(?:%|percent|per cent)?\s*gly(?:c|cerol` +
		`|cerine|cerin)?\b(?:[- /]*water)?|gly(?:c|cerol|cerine` +
		`|cerin)?\b(?:[- /]*water)?\s*(?:at\s*)?(?:(` + quantity.Decimal + `)\s*(%|percent|per cent)?)?)`)
	milkWater = regexp.MustCompile(`\b(?:in\s+)?((?:semi[- ]?skimmed|skimmed|skim|whole|full[- ]fat|uht` +
		`|oat)?\s*milk|tap water|distilled water|water|saline)\b`)
	unitless    = regexp.MustCompile(`(` + quantity.Decimal + `)[^\d%]*$`)
	degreeRange = regexp.MustCompile(rangeStart + `\s*` + quantity.DegreeUnit + `(?:$|[\s,;.)])`)
	degrees     = regexp.MustCompile(`(?:at\s+|@\s*)?(?:\b(` + quantity.Decimal + `)\s*` + `(?:(?:°|º|degrees?` +
		`|degs?)\s*(?:c|celsius|centigrade)?|c|celsius|centigrade)` +
		`|\b(?:room\s+)?temp(?:erature)?\s*(?:was|is|of|=|:)?\s*(` + quantity.Decimal + `))(?:$|[\s,;.)])`)
)

// warmest is the warmest that a bench liquid is taken to be, in °C (practice).
const warmest = 45

// ReadBench reads what a form says of the bench, "0.2 mL, milk 21 °C, video 60 fps",
// as the same words are read in a line. What is nothing else is the liquid.
//
// Errors: *quantity.Problem, where a part is open or nothing was made of it.
func ReadBench(text string, today time.Time) (Line, error) {
	r := newReader(text, question.NewIndex(nil, nil, nil), today)
	r.readRemarks()
	r.putInEnglish()
	r.readSpelled()
	r.readDays()
	r.readTiming()
	r.readTemperature()
	r.readPulls()
	r.readWatched()
	r.watched = r.watchS
	if len(r.open) == 1 && r.open[0].kind == askPull && r.open[0].number != "" { // no syringe stands here
		r.PullML, r.open = number(decimalIn.FindString(r.open[0].number)), nil
	}
	left := r.left()
	if len(r.open) > 0 {
		return r.Line, &quantity.Problem{Text: text, Why: r.open[0].Text}
	}
	if n := unitless.FindStringSubmatch(strings.Join(left, " ") + " "); n != nil {
		return r.Line, &quantity.Problem{Text: text, Why: "What is " + n[1] + "? Write it with its unit."}
	}
	if len(left) > 1 {
		return r.Line, &quantity.Problem{Text: text, Why: "The liquid cannot be both " + left[0] + " and " + left[1] +
			"."}
	}
	if len(left) == 1 {
		if err := r.putLiquid(left[0]); err != nil {
			return r.Line, err
		}
	}
	return r.Line, nil
}

// readBench finds how it was timed, the liquid and its temperature.
func (r *reader) readBench() {
	r.readTiming()
	r.readLiquid()
	r.readTemperature()
}

func (r *reader) readTemperature() {
	if m := degreeRange.FindSubmatchIndex(r.plain); m != nil {
		r.askWhich(m, askTemperature, "°C")
	}
	for m := degrees.FindSubmatchIndex(r.plain); m != nil; m = degrees.FindSubmatchIndex(r.plain) {
		text := group(r.typed, m, 1) + group(r.typed, m, 2)
		r.take(m[0], m[1])
		v, err := quantity.Temperature(text)
		switch {
		case err != nil || v > warmest:
			r.ask(Question{Text: fmt.Sprintf("What temperature is %s?", strings.TrimSpace(text)), kind: askTemperature})
		case r.LiquidC != nil && *r.LiquidC != v:
			r.ask(Question{Text: "Two temperatures are named. Which was the liquid's?", kind: askTemperature,
				Answers: offered(trade.Number(*r.LiquidC)+" °C", trade.Number(v)+" °C")})
		default:
			r.LiquidC = &v
		}
	}
}

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
	// Frames beside a time in seconds only remark on it: "4.2 s, 3 frames dropped".
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

// addFilm reads the marks of a film. A rate that was not said is asked for where the
// time hangs on it.
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
	if frameCount.MatchString(marks) { // nobody said that they were counted from the pull on
		r.ask(Question{Text: marks + " are " + trade.Number(f.Seconds) + " s at " + trade.Number(f.FPS) +
			" frames a second. Is it right?", kind: askYes, Answers: offered("yes")})
	}
	r.Outcomes = append(r.Outcomes, Outcome{Flashback: true, Seconds: f.Seconds, Typed: trade.Number(f.Seconds)})
}

func (r *reader) readLiquid() {
	if m := r.glycerol(); m != nil {
		strength := group(r.typed, m, 1) + group(r.typed, m, 2)
		sure := m[2] >= 0 || m[6] >= 0 || strings.HasSuffix(strings.TrimSpace(string(r.plain[m[0]:m[1]])), "%")
		v, err := quantity.Percent(strength)
		end := m[1]
		if strength != "" && !sure && (v < 10 || err != nil) { // "glycerol 4.2": rather the seconds
			strength, end = "", m[4]
		}
		if r.take(m[0], end); strength == "" || err != nil || v > 100 {
			r.ask(Question{Text: "How much glycerol, in per cent?", kind: askLiquid, Answers: offered("40 %", "30 %")})
		} else {
			r.Liquid = "glycerol-water " + trade.Number(v) + "%"
		}
	}
	for m := milkWater.FindSubmatchIndex(r.plain); m != nil; m = milkWater.FindSubmatchIndex(r.plain) {
		if strings.HasSuffix(strings.TrimSpace(string(r.plain[:m[0]])), "with") {
			return
		}
		liquid := strings.ToLower(strings.Join(strings.Fields(r.typed[m[2]:m[3]]), " "))
		r.take(m[0], m[1])
		if liquid == "milk" || liquid == "full fat milk" || liquid == "full-fat milk" {
			liquid = "whole milk"
		}
		if r.Liquid != "" && r.Liquid != liquid {
			r.ask(Question{Text: "Two liquids are named. Which was it?", kind: askLiquid,
				Answers: offered(r.Liquid, liquid)})
			return
		}
		r.Liquid = liquid
	}
}

// glycerol finds what is said of glycerol, nil where nothing is. Where a number stands on both sides of it the one
// behind is the strength if it is told in per cent or is too large for seconds alone: "7.1 glycerin 40".
func (r *reader) glycerol() []int {
	m := glycerol.FindSubmatchIndex(r.plain)
	if m == nil || m[2] < 0 || strings.ContainsRune(string(r.plain[m[3]:m[1]]), '%') {
		return m
	}
	behind := glycerol.FindSubmatchIndex(r.plain[m[3]:])
	if behind == nil || behind[4] < 0 {
		return m
	}
	for i := range behind {
		if behind[i] >= 0 {
			behind[i] += m[3]
		}
	}
	if v, err := quantity.Percent(group(r.typed, behind, 2)); err != nil || behind[6] < 0 && v < 10 {
		return m
	}
	behind[6], behind[7] = behind[4], behind[5] // told apart from the seconds: sure
	return behind
}

// group is a group of a match, "" if it took no part.
func group(text string, m []int, n int) string {
	if m[2*n] < 0 {
		return ""
	}
	return text[m[2*n]:m[2*n+1]]
}

var timings = offered("stopwatch", "30 fps", "60 fps", "240 fps")
