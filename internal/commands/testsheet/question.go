package testsheet

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/calc"
)

// Question is one thing to be asked about a sheet as a whole.
type Question struct {
	Key     string // of its answer in Answers
	Text    string
	Answers []Answer // to pick from; others may be typed
	near    []string // about a name: the names on the list that are nearly the same
}

// Answer is a way to answer a question.
type Answer struct {
	Label string
	Say   string // as it is kept in Answers
}

// Answers are the answers so far, by the key of the question.
type Answers map[string]string

// Answers as they are kept, and the keys of questions or their beginnings.
const (
	LeaveOut    = "leave out"
	Add         = "add"
	ItIs        = "it is "
	addAs       = "add as "
	DayFirst    = "day first"
	MonthFirst  = "month first"
	asAbove     = "the same as above"
	leaveBlank  = "leave them out"
	orderKey    = "order"
	watchedKey  = "watched"
	columnKey   = "column "
	everyRowKey = "all "
	blankKey    = "blank "
)

// offers are answers whose label is kept as it stands.
func offers(says ...string) (answers []Answer) {
	for _, say := range says {
		answers = append(answers, Answer{say, say})
	}
	return answers
}

// columnQuestions ask what unclear columns hold.
func (p *Plan) columnQuestions() (open []Question) {
	for i, c := range p.columns {
		if !c.asked {
			continue
		}
		q := Question{Key: p.columnKeyOf(i), Answers: offers(LeaveOut)}
		if p.Kind == Tests {
			q.Answers = offers(LeaveOut, string(Note))
		}
		q.Text = fmt.Sprintf("What does the column %q hold?", c.heading)
		if c.heading == "" {
			q.Text = fmt.Sprintf("Column %d has no heading. What does it hold?", i+1)
		}
		if eg := p.example[i]; eg != "" {
			q.Text += " It begins with " + eg + "."
		}
		for _, f := range p.Kind.holds() {
			if f != Note && (!has(p.columns, f) || slices.Contains(repeatable, f)) {
				q.Answers = append(q.Answers, Answer{string(f), string(f)})
			}
		}
		open = append(open, q)
	}
	return open
}

// rowQuestions ask what concerns all rows or many.
func (p *Plan) rowQuestions() (open []Question) {
	for _, f := range p.Kind.needs() {
		if !p.holds(f) {
			open = append(open, p.everyRowQuestion(f))
		}
	}
	for _, f := range downwards {
		if n := p.blanks[f]; n > 0 {
			open = append(open, Question{Key: blankKey + string(f), Answers: offers(asAbove, leaveBlank),
				Text: fmt.Sprintf("The %s is blank in %s, below one that has it. Is it the same as above?", f,
					rows(n))})
		}
	}
	if p.ambiguous != "" && p.dayFirst == p.monthFirst {
		open = append(open, Question{Key: orderKey, Answers: offers(DayFirst, MonthFirst),
			Text: "Is " + p.ambiguous + " written day first or month first?"})
	}
	if p.unwatched > 0 {
		open = append(open, Question{Key: watchedKey, Answers: []Answer{{"30 s", "30"}, {"60 s", "60"}},
			Text: fmt.Sprintf("In %s no flashback came, and how long it was watched is not said. How long?",
				rows(p.unwatched))})
	}
	return open
}

// everyRowQuestion asks for a field that no column says.
func (p *Plan) everyRowQuestion(f Field) Question {
	q := Question{Key: everyRowKey + string(f),
		Text: "No column says the " + string(f) + ". Which is it in every row?"}
	var names []string
	switch f {
	case Gel:
		for _, g := range p.lists.Products {
			names = append(names, g.Name)
		}
	case Instrument:
		for _, i := range p.lists.Instruments {
			names = append(names, i.Name())
		}
	case Person:
		if q.Text = "No column says who made the tests. Who did?"; p.Kind == Stock {
			q.Text = "No column says who holds it. Who does?"
		}
		names = p.lists.Members
	case Day:
		if q.Text = "No column says the day. On which day were the tests made?"; p.Kind == Stock {
			q.Text = "No column says the day. Since when is it in stock?"
		}
		names = []string{"today", "yesterday"}
	}
	q.Answers = offers(names[:min(len(names), mostOffered)]...)
	return q
}

// mostOffered is how many names are offered to pick from.
const mostOffered = 20

func rows(n int) string {
	if n == 1 {
		return "1 row"
	}
	return fmt.Sprintf("%d rows", n)
}

// nameQuestions ask once about every name that is on no list.
func (p *Plan) nameQuestions() (open []Question) {
	for _, n := range p.unknown {
		q := Question{Key: nameKey(n.field, n.text)}
		q.Text = fmt.Sprintf("%q, in %s from line %d, is on no list. What is it?", n.text, rows(n.rows), n.line)
		earlier := p.spelledBefore(n)
		if n.field == Class {
			q.Text = fmt.Sprintf("What class of gel is %q, in %s from line %d?", n.text, rows(n.rows), n.line)
		} else if q.near = append(slices.Clone(n.near), earlier...); len(q.near) > 0 {
			what := "Is it another gel?"
			if p.Kind == Stock { // which none can come from
				what = "What is it?"
			}
			q.Text = fmt.Sprintf("%q, in %s from line %d, is nearly %s. %s", n.text, rows(n.rows), n.line,
				strings.Join(q.near, " and "), what)
		}
		for _, like := range append(earlier, n.like...) {
			q.Answers = append(q.Answers, Answer{ItIs + like, ItIs + like})
		}
		switch {
		case p.Kind != Tests && (n.field == Person || n.field == Gel && p.Kind == Stock):
			// a list of stock names nobody and nothing new
		case n.field == Gel && p.Kind == Gels:
			q.Answers = append(q.Answers, Answer{"add", Add})
		case n.field == Gel && n.class != "":
			q.Answers = append(q.Answers, Answer{"add, class " + n.class, addAs + n.class})
		case n.field == Gel:
			q.Answers = append(q.Answers, Answer{"add, class not known", Add})
			for _, class := range calc.GelClasses() {
				if class != calc.UnknownGel {
					q.Answers = append(q.Answers, Answer{"add, class " + string(class), addAs + string(class)})
				}
			}
		case n.addable:
			q.Answers = append(q.Answers, Answer{Add, Add})
		}
		q.Answers = append(q.Answers, Answer{LeaveOut, LeaveOut})
		open = append(open, q)
	}
	return open
}

// spelledBefore are the gels to be added from the sheet whose names are nearly this one.
func (p *Plan) spelledBefore(n *unknownName) (gels []string) {
	if n.field != Gel || p.Kind != Tests {
		return nil
	}
	added, _ := p.New()
	for _, g := range added {
		if !strings.EqualFold(g.Name, n.text) && p.lists.Near(g.Name, n.text) {
			gels = append(gels, g.Name)
		}
	}
	return gels
}
