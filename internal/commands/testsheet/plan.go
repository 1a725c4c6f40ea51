package testsheet

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
	"holdbench/internal/sheet"
	"holdbench/internal/trade"
)

// Lists are a group's lists, and what is taken if a sheet does not say.
type Lists struct {
	Index       *question.Index
	Products    []trade.Product
	Instruments []trade.Instrument
	Members     []string // as they are named in files, no two alike
	// Near reports whether two names of gels are nearly the same, and Similar finds the gels of
	// the list whose names are nearly this one.
	Near    func(one, other string) bool
	Similar func(name string) []trade.Product
	Today   time.Time
	Usual   Usual
}

// Usual is what is taken if no cell says.
type Usual struct {
	Liquid   string
	LiquidC  float64
	PullML   float64
	Timing   string
	FilmFPS  float64
	WatchedS float64 // or longer, if flashback came later
}

// member is the member of that name.
func (l Lists) member(name string) (string, bool) {
	for _, m := range l.Members {
		if trade.Fold(m) == trade.Fold(name) {
			return m, true
		}
	}
	return "", false
}

// Plan is how a sheet is read, as far as that is clear.
type Plan struct {
	Sheet  string   // the name of the sheet in its book, "" if there is only one
	Others []string // sheets of the book that are not read
	Kind   Kind     // what its rows are
	Unread []string // headings of columns that a list has no place for

	lists   Lists
	answers Answers
	heading int // its line
	columns []column
	example []string // the first cell of each column that is not blank
	unknown []*unknownName
	byName  map[string]*unknownName
	blanks  map[Field]int // rows with a blank cell below one that is not

	ambiguous            string // a day that can be read in two ways, "" for none
	dayFirst, monthFirst bool   // whether some day can only be read this way
	unwatched            int    // tests without flashback and without the time watched
	parts                map[string]part
	names                map[string]placed
	fresh                []string // names in a list of gels that the group has not
}

// nameKey is the key of a name among the answers, whatever its capitals and spaces.
func nameKey(field Field, text string) string { return string(field) + " " + trade.Fold(text) }

// unknownName is a name that is on no list.
type unknownName struct {
	field      Field
	text       string
	rows, line int
	like       []string
	near       []string // the gels of the list whose names are nearly this one
	class      string   // of a gel, if the sheet says it
	addable    bool
}

// mostUnknown names are asked about; rows with more of them are faults.
const mostUnknown = 100

// headingWithin is how many rows are searched for the headings.
const headingWithin = 20

// Survey reads a sheet once and finds out what has to be asked.
//
// Errors: *sheet.Problem, and those of the file.
func Survey(open func() (*sheet.Table, error), lists Lists, answers Answers) (*Plan, error) {
	p := &Plan{lists: lists, answers: answers, byName: map[string]*unknownName{}, blanks: map[Field]int{},
		parts: map[string]part{}, names: map[string]placed{}}
	table, err := open()
	if err != nil {
		return nil, err
	}
	p.Sheet, p.Others = table.Name(), table.Others()
	return p, errors.Join(p.survey(table), table.Close())
}

// survey finds the headings and then looks at every row, unless a column is not clear.
func (p *Plan) survey(table *sheet.Table) error {
	table.Lenient()
	var first []sheet.Row
	if err := eachRow(table, func(row sheet.Row) bool {
		first = append(first, sheet.Row{Line: row.Line, Cells: slices.Clone(row.Cells)})
		return len(first) < headingWithin
	}); err != nil {
		return err
	}
	best, kind := headingOf(first)
	switch {
	case len(first) == 0:
		return &sheet.Problem{Why: "the file is empty"}
	case best < 0:
		return &sheet.Problem{Why: "no line of headings was found; above the tests one line has to name the gel, the " +
			"needle and the seconds, or what a list of gels, needles or stock holds"}
	}
	p.Kind = kind
	p.heading, p.columns = first[best].Line, columnsOf(first[best].Cells)
	p.fit()
	p.example = make([]string, len(p.columns)+extraColumns)
	for _, row := range first[best+1:] {
		p.lookAt(row.Cells)
	}
	for i := range p.columns {
		p.columns[i].asked = p.columns[i].field == "" && (p.columns[i].heading != "" || p.example[i] != "")
	}
	if p.answerColumns() {
		return nil
	}
	p.fit() // with what was answered
	w := p.walk()
	for _, row := range first[best+1:] {
		w.survey(row)
	}
	return eachRow(table, func(row sheet.Row) bool { w.survey(row); return true })
}

// headingOf finds the row of headings, of tests or else of a list; -1 if there is none.
func headingOf(first []sheet.Row) (best int, kind Kind) {
	best = -1
	for i, row := range first {
		if n := known(row.Cells); n > 0 && (best < 0 || n > known(first[best].Cells)) {
			best = i
		}
	}
	if best >= 0 {
		return best, Tests
	}
	for i, row := range first {
		if kind := listOf(row.Cells); kind != "" {
			return i, kind
		}
	}
	return -1, ""
}

// extraColumns is how many columns may have cells and no heading.
const extraColumns = 32

// lookAt keeps the first cell of each column, and adds columns that have no heading.
func (p *Plan) lookAt(cells []string) {
	for i, cell := range cells[:min(len(cells), len(p.example))] {
		if cell = strings.TrimSpace(cell); cell == "" {
			continue
		}
		for len(p.columns) <= i {
			p.columns = append(p.columns, column{})
		}
		if p.example[i] == "" {
			p.example[i] = cell
		}
	}
}

// answerColumns applies the answers about columns and reports whether some are still open.
func (p *Plan) answerColumns() (open bool) {
	for i, c := range p.columns {
		if !c.asked {
			continue
		}
		if say, answered := p.answers[p.columnKeyOf(i)]; answered {
			p.columns[i].field = Field(say)
		} else {
			open = true
		}
	}
	return open
}

func (p *Plan) columnKeyOf(i int) string {
	return fmt.Sprintf("%s%d %s", columnKey, i+1, p.columns[i].heading)
}

// Open are the questions without an answer. While a column is not clear, nothing else is asked.
func (p *Plan) Open() (open []Question) {
	for _, ask := range []func() []Question{p.columnQuestions, p.rowQuestions, p.nameQuestions} {
		for _, q := range ask() {
			if _, answered := p.answers[q.Key]; !answered {
				open = append(open, q)
			}
		}
		if len(open) > 0 {
			return open
		}
	}
	return nil
}

// New are the names to be added to the lists with the tests.
func (p *Plan) New() (gels []trade.Product, members []string) {
	for _, n := range p.unknown {
		say := p.answers[nameKey(n.field, n.text)]
		switch class, as := strings.CutPrefix(say, addAs); {
		case n.field == Gel && as:
			gels = append(gels, trade.Product{Name: n.text, Class: calc.GelClass(class)})
		case n.field == Gel && say == Add:
			gels = append(gels, trade.Product{Name: n.text, Class: calc.UnknownGel})
		case n.field == Person && say == Add:
			members = append(members, n.text)
		}
	}
	return gels, members
}

// Apart has, by the name of a new gel, the gels with nearly the same name that it is not.
func (p *Plan) Apart() map[string][]string {
	apart := map[string][]string{}
	for _, n := range p.unknown {
		if say := p.answers[nameKey(n.field, n.text)]; n.field == Gel && (say == Add || strings.HasPrefix(say, addAs)) {
			apart[n.text] = append(p.spelledBefore(n), n.near...)
		}
	}
	return apart
}
