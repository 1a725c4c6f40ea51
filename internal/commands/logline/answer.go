package logline

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// Question is the one thing to be asked before a line is stored.
type Question struct {
	Text    string
	Answers []Answer // ways to answer it with a button; it may also be typed
	kind    string
	number  string // the number or the words asked about, as typed
}

// OfResult reports whether a result answers the question.
func (q Question) OfResult() bool { return q.kind == askResult || q.kind == askSeveral }

// Answer is a way to answer a question.
type Answer struct {
	Label string // on the button
	Say   string // what to hand to Line.Answered
}

// What can be asked.
const (
	askResult      = "result"
	askWatched     = "watched"
	askDay         = "date"
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

// offered are answers with the text of their buttons.
func offered(says ...string) (answers []Answer) {
	for _, say := range says {
		answers = append(answers, Answer{say, say})
	}
	return answers
}

// Answered is the line with its question answered in a few words: "30", "30 s", "yes", "19 nov", or what a button says.
// understood is false if the words do not answer it, and the line is unchanged. A "no" is for the caller to deal with.
func (l Line) Answered(text string, today time.Time) (again Line, understood bool) {
	if l.Ask == nil {
		return l, false
	}
	again = l
	again.Outcomes, again.open = slices.Clone(l.Outcomes), slices.Clone(l.open[1:])
	if !again.apply(*l.Ask, l.Ask.sayOf(PlainReply(text)), today) {
		return l, false
	}
	return again.asking(), true
}

var agreeing, refusing, givingUp = words("yes"), words("no"), words("giving up")

// Agrees reads a yes, or a no or what gives up; is is false for anything else.
func Agrees(text string) (yes, is bool) {
	yes, is = YesNo(text)
	return yes, is || slices.Contains(givingUp, plainYesNo(text))
}

// YesNo reads a yes or a no; is is false for anything else.
func YesNo(text string) (yes, is bool) {
	text = plainYesNo(text)
	yes = slices.Contains(agreeing, text)
	return yes, yes || slices.Contains(refusing, text)
}

func plainYesNo(text string) string {
	return strings.ReplaceAll(strings.ToLower(strings.Trim(text, " .!,")), ", ", " ")
}

func yes(text string) bool {
	agreed, _ := Agrees(text)
	return agreed
}

// apply puts an answer where it belongs, and reports whether it answers the question.
func (l *Line) apply(q Question, text string, today time.Time) bool {
	switch q.kind {
	case askResult, askSeveral, askYes:
		return l.applyResult(q, text)
	case askWatched:
		text = watchedWord.ReplaceAllString(text, "")
		return len(l.Outcomes) == 1 && l.Put(Watched, text, today) == nil
	case askPull:
		if strings.Contains(text, "syringe") && q.number != "" {
			l.open = append([]Question{syringeQuestion(q.number)}, l.open...)
			return true
		}
		return l.Put(Pull, cmp.Or(strings.TrimSpace(pullReply.ReplaceAllString(text, "")), q.number), today) == nil
	case askTemperature, askDay:
		return l.Put(Field(q.kind), text, today) == nil
	case askLiquid:
		return l.applyLiquid(q, text)
	case askTiming, askFilm:
		return l.applyTiming(q, text)
	case askSyringe:
		syringe, err := trade.ReadSyringe(text)
		if err == nil {
			l.Setup.Syringe = syringe
		}
		return err == nil || yes(text)
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
	again := Line{Timing: l.Timing, watched: l.watched, Note: l.Note}
	unclear := func(q Question) bool { return q.kind != askYes && q.kind != askWatched }
	if again.putResult(text) != nil || slices.ContainsFunc(again.open, unclear) {
		return false
	}
	l.Outcomes, l.Film, l.Timing, l.watched, l.Note = again.Outcomes, again.Film, again.Timing, again.watched,
		again.Note
	l.settle(askResult, askSeveral, askYes, askWatched, askFilm)
	l.open = append(again.open, l.open...)
	return true
}

// applyPullOf makes one of several numbers the pull.
func (l *Line) applyPullOf(ml float64) bool {
	i := slices.IndexFunc(l.Outcomes, func(o Outcome) bool { return o.Seconds == ml })
	if i < 0 || l.PullML > 0 || !canBePull(ml) {
		return false
	}
	l.PullML, l.Outcomes = ml, slices.Delete(l.Outcomes, i, i+1)
	return true
}

func canBePull(ml float64) bool { return ml >= trade.SmallestPullML && ml <= trade.LargestTestedPullML }

func (l *Line) applyLiquid(q Question, text string) bool {
	if v, err := quantity.Percent(text); err == nil && v <= 100 {
		l.Liquid = "glycerol-water " + trade.Number(v) + "%"
		return true
	}
	if strings.Contains(text, "liquid") && q.number != "" {
		text = q.number
	} else if !milkWater.MatchString(text) && !glycerol.MatchString(text) {
		return false
	}
	return l.putLiquid(text) == nil
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

// applyMeaning takes an answer that says what a number or a word is: a note or a value. Its number is the one in the
// answer, or else the one that was asked about.
func (l *Line) applyMeaning(q Question, text string, today time.Time) bool {
	kind := kindNamed(text)
	if kind == askWhat || q.kind == askWords && yes(text) {
		if lotWord.MatchString(text) && digit.MatchString(q.number) {
			l.Lot.Number = q.number
			return true
		}
		l.addNote(q.number)
		return true
	}
	for _, said := range []string{text, decimalIn.FindString(text), decimalIn.FindString(q.number)} {
		if (said == text || digit.MatchString(said)) && l.apply(Question{kind: kind, number: q.number}, said, today) {
			return true
		}
	}
	return false
}
