package testsheet

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"holdbench/internal/sheet"
)

// Columns are the columns of a file of the kind, in the order of a Reader's rows.
func (k Kind) Columns() []string {
	switch k {
	case Gels:
		return []string{"name", "gel_class", "aliases", "first_stocked"}
	case Needles:
		return []string{"kind", "gauge", "length_mm", "wall", "bore_mm"}
	case Stock:
		return []string{"member", "product", "instrument", "syringe", "stocked_on"}
	}
	return []string{"tested_on", "member", "product", "instrument", "syringe", "liquid", "liquid_c", "pull_ml",
		"limit_s", "outcome", "seconds", "timing", "note", "film_marks", "film_link", "lot", "expires"}
}

// Reader makes of a sheet the rows of a file of its kind, the headings first.
type Reader struct {
	*walker
	table  *sheet.Table
	begun  bool
	queue  []sheet.Row
	faults []error // of the last row
	Out    int     // rows left out because of an answer
}

// Rows opens a sheet to be read by the plan.
func (p *Plan) Rows(open func() (*sheet.Table, error)) (*Reader, error) {
	table, err := open()
	if err != nil {
		return nil, err
	}
	table.Lenient()
	return &Reader{walker: p.walk(), table: table}, nil
}

// Close closes the sheet.
func (r *Reader) Close() error { return r.table.Close() }

// Next returns the next row; a *sheet.Fault says what is wrong with one.
func (r *Reader) Next() (sheet.Row, error) {
	if !r.begun {
		r.begun = true
		return sheet.Row{Line: r.heading, Cells: r.Kind.Columns()}, nil
	}
	for {
		if len(r.queue) > 0 {
			row := r.queue[0]
			r.queue = r.queue[1:]
			return row, nil
		}
		if len(r.faults) > 0 {
			fault := r.faults[0]
			r.faults = r.faults[1:]
			return sheet.Row{}, fault
		}
		row, err := r.table.Next()
		var fault *sheet.Fault
		switch {
		case errors.As(err, &fault) && fault.Line <= r.heading:
			continue
		case err != nil:
			return sheet.Row{}, err
		case row.Line <= r.heading || !r.isTest(row):
		case r.Kind == Tests:
			r.tests(row)
		default:
			r.list(row)
		}
	}
}

// list queues the row of a list.
func (r *Reader) list(row sheet.Row) {
	switch cells, out, problem := r.listRow(row); {
	case out:
		r.Out++
	case problem != "":
		r.faults = append(r.faults, &sheet.Fault{Line: row.Line, Why: strings.TrimRight(problem, ".")})
	default:
		r.queue = append(r.queue, sheet.Row{Line: row.Line, Cells: cells})
	}
}

// tests queues the tests of a row.
func (r *Reader) tests(row sheet.Row) {
	said := r.filled(row, func(Field) {})
	base, out, problem := r.who(said, row)
	for _, t := range r.trials(row) {
		if out {
			r.Out++
			continue
		}
		is := r.read(t)
		if why := cmp.Or(problem, is.problem); why != "" {
			r.faults = append(r.faults, &sheet.Fault{Line: row.Line, Why: strings.TrimRight(why, ".")})
			continue
		}
		r.queue = append(r.queue, sheet.Row{Line: row.Line, Cells: append(slices.Clone(base), is.liquid, is.temperature,
			is.pull, is.watched, is.outcome, is.seconds, is.timing, joined(is.note, r.cell(row, Note)), is.marks,
			cmp.Or(r.cell(row, Link), is.link), cmp.Or(r.cell(row, Lot), is.lot),
			cmp.Or(r.cell(row, Expiry), is.expires))})
	}
}

// who reads the day, the member and the combination of a row.
func (r *Reader) who(said map[Field]string, row sheet.Row) (base []string, out bool, problem string) {
	syringe := r.cell(row, Syringe)
	var gel, needle, person placed
	for _, part := range []struct {
		field  Field
		into   *placed
		needed bool // whether a blank cell is a fault
	}{
		{Setup, &needle, false}, {Gel, &gel, said[Setup] == ""},
		{Instrument, &needle, said[Setup] == "" && r.Kind == Tests}, {Person, &person, true},
	} {
		text := said[part.field]
		if text == "" && part.needed {
			return nil, false, string(part.field) + ": is missing"
		}
		if text == "" {
			continue
		}
		is, leave, why := r.decided(part.field, text, syringe != "")
		if why != "" {
			return nil, false, why
		}
		out = out || leave
		*part.into = is
		if part.field == Setup {
			gel = is
		}
	}
	if out {
		return nil, true, ""
	}
	if needle.syringe, problem = r.syringe(syringe, needle.syringe); problem != "" {
		return nil, false, problem
	}
	if said[Day] == "" {
		return nil, false, "day: is missing"
	}
	day, err := r.day(said[Day])
	if err != nil {
		return nil, false, "day: " + err.Error()
	}
	return []string{day, person.person, gel.product, needle.instrument, needle.syringe}, false, ""
}

// syringe reads the cell of a syringe; a blank one leaves the syringe that the needle's cell names.
func (p *Plan) syringe(cell, beside string) (name, problem string) {
	if cell == "" {
		return beside, ""
	}
	found := p.lists.Index.ReadSyringe(cell)
	if len(found) != 1 {
		return "", "syringe: \"" + cell + "\" is not read; write supplied, or as in fixed-needle 0.3 mL"
	}
	return found[0].Filled().Name, ""
}

// joined are the parts that are not blank, as one text.
func joined(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(part string) bool { return part == "" }), "; ")
}

// Patient are the headings of columns about patients, which are left out.
func (p *Plan) Patient() (headings []string) {
	for _, c := range p.columns {
		if c.field == patient {
			headings = append(headings, c.heading)
		}
	}
	return headings
}

// Usual are the fields that no column says and whose usual value is taken.
func (p *Plan) Usual() (missing []Field) {
	for _, f := range []Field{Liquid, Temperature, Pull, Timing} {
		if !has(p.columns, f) {
			missing = append(missing, f)
		}
	}
	return missing
}
