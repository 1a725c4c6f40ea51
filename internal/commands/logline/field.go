package logline

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// Field is a value that is typed alone: an option, or one line of a form.
type Field string

// The fields. A question about one has the same kind.
const (
	Result      Field = askResult
	Pull        Field = askPull
	Liquid      Field = askLiquid
	Temperature Field = askTemperature
	Watched     Field = askWatched
	Timing      Field = askTiming
	Date        Field = askDay
	Lot         Field = "lot"
)

// Put sets one field of a line to a value that is read as in a line. A result that is open or unusual becomes a
// question of the line.
//
// Errors: *quantity.Problem, *trade.FieldError; the line must not be used then.
func (l *Line) Put(field Field, text string, today time.Time) (err error) {
	var v float64
	switch field {
	case Result:
		return l.putResult(text)
	case Pull:
		if l.PullML, err = quantity.Volume(text); err == nil {
			err = trade.CheckRange("pull", l.PullML, trade.SmallestPullML, trade.LargestTestedPullML, "mL")
		}
	case Temperature:
		if v, err = quantity.Temperature(text); err == nil {
			err = trade.CheckRange("temperature", v, 0, warmest, "°C")
		}
		l.LiquidC = &v
	case Watched:
		if v, err = quantity.Seconds(text); err == nil {
			err = trade.CheckAbove("time watched", v, 0, trade.LongestWatchS, "s")
		}
		l.putWatched(v)
	case Timing:
		var timing quantity.Timing
		timing, err = quantity.ReadTiming(text)
		l.Timing = &timing
	case Date:
		l.Day, err = quantity.Day(text, today)
	case Liquid:
		err = l.putLiquid(text)
	case Lot:
		l.Lot, err = readLot(text)
	}
	l.settle(string(field))
	return err
}

func (l *Line) putLiquid(text string) error {
	r := newReader(text, question.NewIndex(nil, nil, nil), time.Time{})
	r.putInEnglish()
	r.readLiquid()
	if len(r.open) > 0 && r.Liquid == "" {
		return &quantity.Problem{Text: text, Why: r.open[0].Text}
	}
	if l.Liquid = r.Liquid; l.Liquid == "" || len(r.left())+len(r.open) > 0 {
		l.Liquid = trade.Tidy(text) // another one, or a mixture
	}
	return nil
}

// putWatched sets how long the test was watched, s, and checks the outcomes against it.
func (l *Line) putWatched(seconds float64) {
	r := reader{Line: *l}
	r.watched = seconds
	r.Outcomes = slices.Clone(l.Outcomes)
	for i := range r.Outcomes {
		r.Outcomes[i].WatchedS = seconds
		r.weighOutcome(r.Outcomes[i])
	}
	*l = r.finished()
}

// putResult sets the result of a test: "7.13s", "1:02", "none", "none in 45", or the marks of a film. A note may
// follow.
func (l *Line) putResult(text string) error {
	r := newReader(text, question.NewIndex(nil, nil, nil), time.Time{})
	r.Timing, r.watchS = l.Timing, l.watched
	r.readRemarks()
	r.putInEnglish()
	r.readSpelled()
	r.readTiming()
	r.askUnitOfMarks()
	r.readOutcome()
	left := strings.Trim(strings.TrimLeft(string(r.plain), " ,;:"), " ,;:") // ".9" keeps its point
	if left != "" && !r.none && len(r.Outcomes)+len(r.open) == 0 {
		r.addFlashback(strings.TrimRight(left, "."))
		left = ""
	}
	if left = strings.Trim(left, ". "); left != "" || !r.none && !digit.MatchString(r.typed) {
		why := strings.TrimSpace(text) + " is not one result: write seconds, none, or a film's start and end."
		return &quantity.Problem{Text: text, Why: why}
	}
	r.weigh()
	l.settle(askResult, askWatched, askSeveral, askYes, askFilm)
	l.Outcomes, l.Film, l.Timing, l.watched = r.Outcomes, r.Film, r.Timing, r.watched
	l.addNote(r.Note)
	l.Lot, l.Link = cmp.Or(r.Lot, l.Lot), cmp.Or(r.Link, l.Link)
	l.open = append(l.open, r.open...)
	*l = l.asking()
	return nil
}

// settle removes the questions of some kinds, which have been answered.
func (l *Line) settle(kinds ...string) {
	l.open = slices.DeleteFunc(slices.Clone(l.open), func(q Question) bool { return slices.Contains(kinds, q.kind) })
	*l = l.asking()
}

// Result is the result of a line as its field takes it, "" if it is open or there are several.
func (l Line) Result() string {
	isOpen := func(q Question) bool {
		return slices.Contains([]string{askResult, askSeveral, askYes, askFilm}, q.kind)
	}
	switch {
	case len(l.Outcomes) != 1 || slices.ContainsFunc(l.open, isOpen):
		return ""
	case l.Film.Marks != "":
		return l.Film.Marks
	case l.Outcomes[0].Flashback:
		return l.Outcomes[0].Typed
	}
	return "none"
}
