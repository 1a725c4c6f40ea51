package logline

import (
	"slices"
	"strings"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// Known is what has been said of a line's combination elsewhere: in an option, or by
// a choice. It goes before the words of the line.
type Known struct {
	Product    *trade.Product
	Instrument *trade.Instrument
	Syringe    *trade.Syringe
}

// setupSaid reads what is left of the line as the combination. Words that the line
// and what is known elsewhere say differently are not bent into one.
func (r *reader) setupSaid() question.Reading {
	plain := strings.Trim(string(r.plain), " ,?")
	read, k := r.ix.Read(strings.TrimRight(plain, " ,?.")), r.known
	if k == (Known{}) {
		r.Picks = picksOf(r.ix, read)
		return read
	}
	said := r.ix.ReadSetup(plain)
	setup := question.Reading{Outcome: question.One, Product: read.Product, Instrument: said.Instrument, Syringe: said.Syringe, Rest: read.Rest,
		PullML: read.PullML, BySeconds: read.BySeconds}
	if k.Product != nil {
		if read.Outcome == question.One && read.Product.ID != k.Product.ID {
			return question.Reading{Outcome: question.Unclear, Problem: "Two gels are named: " + read.Product.Name + " and " + k.Product.Name + ".", Hint: "Name one."}
		}
		setup.Product = *k.Product
	} else if p := r.ix.ReadProduct(strings.Trim(plain, " ,.")); p.Known {
		setup.Product = p.Product
	}
	if k.Instrument != nil {
		setup.Instrument = *k.Instrument
		setup.Syringe = read.Syringe
	}
	if k.Syringe != nil {
		setup.Syringe = *k.Syringe
	}
	switch {
	case setup.Product.ID == 0:
		r.Picks = picksOf(r.ix, read)
		return read
	case setup.Instrument.Gauge == 0:
		r.Picks = instrumentPicks(r.ix, setup.Product, said)
		return question.Reading{Outcome: question.Unclear, Problem: said.Problem, Hint: "Write its gauge and length, as in 30G 13 mm needle."}
	}
	return setup
}

// Pick is one way to settle what is open of the combination.
type Pick struct {
	Label string
	Known Known
}

// picksOf are the choices of a reading as what they name.
func picksOf(ix *question.Index, read question.Reading) (picks []Pick) {
	for _, choice := range read.Choices {
		again := ix.Read(choice.Text)
		if again.Outcome == question.One {
			picks = append(picks, Pick{choice.Label, Known{&again.Product, &again.Instrument, &again.Syringe}})
			continue
		}
		name, _, _ := strings.Cut(choice.Text, ", ")
		if p := ix.ReadProduct(name); p.Known {
			picks = append(picks, Pick{choice.Label, Known{Product: &p.Product}})
		}
	}
	return picks
}

// instrumentPicks are the needles and cannulas that were meant, perhaps.
func instrumentPicks(ix *question.Index, p trade.Product, said question.SetupRead) (picks []Pick) {
	for _, in := range said.Instruments {
		picks = append(picks, Pick{ix.InstrumentName(in), Known{Product: &p, Instrument: &in}})
	}
	return picks[:min(len(picks), question.MaxChoices)]
}

// Put puts the value of one field on a line, as the same words in a line are read. It
// takes the place of what the line said of it. What cannot stand as it is typed is
// asked about with the questions of the line, or refused.
//
// Errors: *quantity.Problem, *trade.FieldError.
func (l *Line) Put(field Field, text string, today time.Time) error {
	if field == Result {
		return l.putResult(text)
	}
	v, err := ReadField(field, text, today)
	if err != nil {
		return err
	}
	switch field {
	case Pull:
		l.PullML = v.Number
		l.settle(askPull)
	case Temperature:
		l.LiquidC = &v.Number
		l.settle(askTemperature)
	case Liquid:
		l.Liquid = v.Text
		l.settle(askLiquid)
	case Timing:
		l.Timing = v.Timing
		l.settle(askTiming)
	case Date:
		l.Day = v.Day
		l.settle(askDay)
	case Watched:
		l.watched = v.Number
		for i := range l.Outcomes {
			l.Outcomes[i].WatchedS = v.Number
		}
		l.settle(askWatched)
		r := reader{Line: *l}
		for _, o := range l.Outcomes {
			r.weighOutcome(o)
		}
		*l = r.finished()
	}
	return nil
}

// putResult puts the result of a test on a line.
func (l *Line) putResult(text string) error {
	r, left := resultAlone(text, l.Timing, l.watched)
	if !r.none && !digit.MatchString(text) {
		left = text
	}
	r.weigh()
	if left != "" {
		return resultProblem(text)
	}
	l.settle(askResult, askWatched, askSeveral, askYes, askFilm)
	l.Outcomes, l.Film, l.watched = r.Outcomes, r.Film, r.watched
	if r.Timing != nil {
		l.Timing = r.Timing
	}
	held := reader{Line: *l}
	held.addNote(r.Note)
	held.open = append(held.open, r.open...)
	*l = held.finished()
	return nil
}

// settle takes out the questions of some kinds: they are answered.
func (l *Line) settle(kinds ...string) {
	l.open = slices.DeleteFunc(slices.Clone(l.open), func(q Question) bool { return slices.Contains(kinds, q.kind) })
	*l = l.asking()
}

// Result is the result of a line as its field takes it, "" where it is open or there
// are several.
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
