package logline

import (
	"cmp"
	"errors"
	"slices"
	"strings"
	"time"

	"holdbench/internal/commands/quantity"
	"holdbench/internal/trade"
)

// Question is the one thing to be asked before a line is stored.
type Question struct {
	Text    string
	Answers []Answer // ways to answer it with a button; it may also be typed
	kind    string
	number  string // what is asked about, as typed
}

// Answer is a way to answer a question.
type Answer struct {
	Label string // on the button
	Say   string // what to hand to Line.Answered
}

// What can be asked.
const (
	askResult      = "result"
	askWatched     = "watched"
	askDay         = "day"
	askPull        = "pull"
	askTemperature = "temperature"
	askTiming      = "timing"
	askLiquid      = "liquid"
	askFilm        = "film"
	askSyringe     = "syringe"
	askSeveral     = "several"
	askWhat        = "what"
	askWords       = "words"
	askYes         = "yes"
)

func numbered(v float64, unit string) Answer {
	text := trade.Number(v) + " " + unit
	return Answer{text, text}
}

// Answered is the line with its question answered in a few words: "30", "30 s",
// "yes", "19 nov", or what a button says. understood is false for words that do not
// answer it; then the line is as it was. A "no" stores nothing: it is for the caller.
func (l Line) Answered(text string, today time.Time) (again Line, understood bool) {
	if l.Ask == nil {
		return l, false
	}
	again = l
	again.Outcomes, again.open = slices.Clone(l.Outcomes), slices.Clone(l.open[1:])
	if !again.apply(*l.Ask, l.Ask.sayOf(plainReply(text)), today) {
		return l, false
	}
	return again.asking(), true
}

func yes(text string) bool {
	switch text {
	case "yes", "y", "yes please", "yep", "yeah", "ok", "right", "correct", "ja", "it is", "yes it is":
		return true
	}
	return false
}

// apply puts an answer where it belongs.
func (l *Line) apply(q Question, text string, today time.Time) bool {
	var err error
	switch q.kind {
	case askResult, askSeveral, askYes:
		return l.applyResult(q, text)
	case askWatched:
		var v float64
		if v, err = quantity.Seconds(watchedWord.ReplaceAllString(text, "")); err == nil && v > 0 && v <= trade.LongestWatchS && len(l.Outcomes) == 1 {
			l.Outcomes[0].WatchedS = v
			r := reader{Line: *l}
			r.weighOutcome(l.Outcomes[0])
			*l = r.Line
			return true
		}
	case askDay:
		l.Day, err = quantity.Day(text, today)
		return err == nil
	case askPull:
		if strings.Contains(text, "syringe") && q.number != "" {
			l.open = append([]Question{syringeQuestion(q.number)}, l.open...)
			return true
		}
		l.PullML, err = quantity.Volume(cmp.Or(strings.TrimSpace(pullReply.ReplaceAllString(text, "")), q.number))
		return err == nil && canBePull(l.PullML)
	case askTemperature:
		return l.applyTemperature(text)
	case askLiquid:
		var v float64
		if v, err = quantity.Percent(text); err == nil && v <= 100 {
			l.Liquid = "glycerol-water " + trade.Number(v) + "%"
			return true
		}
	case askTiming, askFilm:
		return l.applyTiming(q, text)
	case askSyringe:
		return l.applySyringe(text)
	case askWhat, askWords:
		return l.applyMeaning(q, text, today)
	}
	return false
}

func (l *Line) applyResult(q Question, text string) bool {
	if q.kind != askResult && yes(text) {
		return true
	}
	if v, err := quantity.Volume(text); err == nil && q.kind == askSeveral && strings.HasSuffix(text, "l") {
		return l.applyPullOf(v)
	}
	v, err := ReadField(Result, text, time.Time{})
	var p *quantity.Problem
	if errors.As(err, &p) && len(p.Options) == 1 && v.Outcome.Seconds > 0 && v.Outcome.Seconds <= trade.LongestWatchS {
		l.open = append([]Question{{Text: p.Why, kind: askYes, Answers: []Answer{{"yes", "yes"}}}}, l.open...)
	} else if err != nil {
		return false
	}
	if v.Outcome.WatchedS == 0 {
		v.Outcome.WatchedS = l.watched
	}
	l.Outcomes = []Outcome{v.Outcome}
	if !v.Outcome.Flashback && v.Outcome.WatchedS == 0 {
		l.open = append([]Question{{Text: "How long did you watch?", kind: askWatched, Answers: []Answer{{"30 s",
			"30"}, {"60 s", "60"}}}}, l.open...)
	}
	return true
}

// applyPullOf takes one of several numbers for the pull.
func (l *Line) applyPullOf(ml float64) bool {
	i := slices.IndexFunc(l.Outcomes, func(o Outcome) bool { return o.Seconds == ml })
	if i < 0 || l.PullML > 0 || !canBePull(ml) {
		return false
	}
	l.PullML, l.Outcomes = ml, slices.Delete(l.Outcomes, i, i+1)
	return true
}

func canBePull(ml float64) bool { return ml >= trade.SmallestPullML && ml <= trade.LargestTestedPullML }

func (l *Line) applyTemperature(text string) bool {
	v, err := quantity.Temperature(text)
	if err != nil || v > 45 {
		return false
	}
	l.LiquidC = &v
	return true
}

func (l *Line) applyTiming(q Question, text string) bool {
	if v, err := quantity.Number(text); err == nil {
		l.Timing = &quantity.Timing{FPS: v}
	} else if timing, err := quantity.ReadTiming(text); err == nil {
		l.Timing = &timing
	} else {
		return q.kind == askFilm && l.applyResult(q, text)
	}
	if q.kind != askFilm {
		return true
	}
	f, ok, err := quantity.ReadFilm(q.number, l.Timing.FPS)
	if !ok || err != nil {
		return false
	}
	l.Film, l.Outcomes = f, []Outcome{{Flashback: true, Seconds: f.Seconds, Typed: trade.Number(f.Seconds)}}
	return true
}

func (l *Line) applySyringe(text string) bool {
	if yes(text) {
		return true
	}
	syringe, err := trade.ReadSyringe(text)
	if err != nil {
		return false
	}
	l.Setup.Syringe = syringe
	return true
}

// applyMeaning takes an answer that says what a number or a word is: a note, or a
// value, with the number that the answer names or else the one that was asked about.
func (l *Line) applyMeaning(q Question, text string, today time.Time) bool {
	kind := meant(text)
	if kind == askWhat || q.kind == askWords && yes(text) {
		r := reader{Line: *l}
		r.addNote(strings.TrimSpace(lotWord.FindString(text) + " " + q.number))
		*l = r.Line
		return true
	}
	for _, said := range []string{text, decimalIn.FindString(text), decimalIn.FindString(q.number)} {
		if (said == text || digit.MatchString(said)) && l.apply(Question{Text: q.Text, kind: kind}, said, today) {
			return true
		}
	}
	return false
}
