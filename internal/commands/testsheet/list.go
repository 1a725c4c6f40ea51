package testsheet

import (
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
)

// Kind is what the rows of a sheet are, named like the file that the program writes of them.
type Kind string

// The kinds of sheet.
const (
	Tests   Kind = "tests"
	Gels    Kind = "products"
	Needles Kind = "instruments"
	Stock   Kind = "stock"
)

// holds are the fields that are read of a kind, in the order in which a question offers them.
func (k Kind) holds() []Field {
	switch k {
	case Gels:
		return []Field{Gel, Class, Names, Day}
	case Needles:
		return []Field{Instrument, Gauge, Length, Sharp, Wall, Bore}
	case Stock:
		return []Field{Gel, Setup, Instrument, Gauge, Length, Sharp, Wall, Syringe, Person, Day}
	}
	return fields[:]
}

// needs are the fields that every row must have; one answer may give them to all rows.
func (k Kind) needs() []Field {
	switch k {
	case Tests:
		return []Field{Gel, Instrument, Person, Day}
	case Stock:
		return []Field{Person, Day}
	}
	return nil
}

// listOf is the kind of list below a line of headings, "" for none.
func listOf(cells []string) Kind {
	said := map[Field]bool{}
	for _, cell := range cells {
		if field, sure := meaning(cell); sure {
			said[field] = true
		}
	}
	gel, needle := said[Gel] || said[Setup], said[Gauge] || said[Instrument]
	switch {
	case said[Seconds] || said[None] || said[Outcome]:
		return ""
	case gel && (said[Stocked] || said[Person] && (said[Day] || needle)):
		return Stock
	case (gel || said[Person]) && !needle && !said[Length] && (said[Class] || said[Names] || gel && said[Sharp]):
		return Gels
	case needle && !gel && (said[Length] || said[Wall] || said[Bore] || said[Sharp]):
		return Needles
	}
	return ""
}

// IsList reports whether the first rows of a sheet have the headings of a list of gels, of
// needles or of stock.
func IsList(rows [][]string) bool {
	return slices.ContainsFunc(rows, func(cells []string) bool { return listOf(cells) != "" })
}

// fit gives columns the meaning that they have in a sheet of this kind: in a list of gels,
// "name" is the gel. A column that the kind has no place for is not read.
func (p *Plan) fit() {
	as := func(from, to Field) {
		for i := range p.columns {
			if p.columns[i].field == from && !has(p.columns, to) {
				p.columns[i].field = to
			}
		}
	}
	if has(p.columns, Gauge) && has(p.columns, Length) {
		as(Instrument, Sharp) // "needle or cannula" beside the size
	}
	if p.Kind != Tests {
		as(Stocked, Day)
	}
	if p.Kind == Gels {
		as(Person, Gel)
		as(Sharp, Class)
	}
	holds := p.Kind.holds()
	for i, c := range p.columns {
		if c.field == HowMany && p.Kind == Tests {
			p.columns[i].field = ""
			continue
		}
		if c.field == "" || c.field == leftOut || c.field == patient || slices.Contains(holds, c.field) {
			continue
		}
		p.columns[i].field, p.Unread = leftOut, append(p.Unread, c.heading)
	}
}

// surveyGel finds in a row of a list of gels what has to be asked: about a name that is nearly
// another, and about a class that is not read.
func (w *walker) surveyGel(text, class string, line int) {
	if class != "" {
		if _, is := question.ReadClass(class); !is {
			w.note(w.place(Class, class, false), Class, class, line, "")
		}
	}
	is := w.place(Gel, text, false)
	if text == "" || is.known {
		return
	}
	key := nameKey(Gel, text)
	for _, other := range w.fresh {
		if nameKey(Gel, other) != key && w.lists.Near(other, text) {
			is.near = append(slices.Clone(is.near), other)
		}
	}
	if is.like = is.near; len(is.near) > 0 {
		w.note(is, Gel, text, line, class)
	}
	say := w.answers[key]
	if (say == "" || say == Add) && len(w.fresh) < mostFresh && !slices.Contains(w.fresh, is.product) {
		w.fresh = append(w.fresh, is.product)
	}
}

// mostFresh is how many new names of a list are compared with one another.
const mostFresh = 500

func (p *Plan) placeClass() (is placed) {
	for _, class := range calc.GelClasses() {
		is.like = append(is.like, string(class))
	}
	return is
}
