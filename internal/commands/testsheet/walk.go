package testsheet

import (
	"errors"
	"io"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
	"holdbench/internal/sheet"
	"holdbench/internal/trade"
)

// walker goes through the rows below the headings, in their order.
type walker struct {
	*Plan
	at    map[Field][]int  // the columns of a field
	above map[Field]string // the last cell of a field that was not blank
}

func (p *Plan) walk() *walker {
	w := &walker{Plan: p, at: map[Field][]int{}, above: map[Field]string{}}
	for i, c := range p.columns {
		w.at[c.field] = append(w.at[c.field], i)
	}
	return w
}

// holds reports whether some column says a field, alone or with others.
func (p *Plan) holds(field Field) bool {
	switch field {
	case Gel:
		return has(p.columns, Gel) || has(p.columns, Setup)
	case Instrument:
		return has(p.columns, Instrument) || has(p.columns, Setup) || has(p.columns, Gauge)
	}
	return has(p.columns, field)
}

// cell is what a row says of a field, "" for nothing; several columns are joined.
func (w *walker) cell(row sheet.Row, field Field) string {
	var said []string
	for _, i := range w.at[field] {
		said = append(said, w.text(row, i))
	}
	return joined(said...)
}

// text is one cell, with the unit of its heading behind a bare number.
func (w *walker) text(row sheet.Row, i int) string {
	if i >= len(row.Cells) {
		return ""
	}
	text := strings.TrimSpace(row.Cells[i])
	if isDash(text) {
		return ""
	}
	if unit := w.columns[i].unit; unit != "" && bareNumber.MatchString(text) {
		text += " " + unit
	}
	return text
}

// isDash reports whether a cell is a mark for "nothing".
func isDash(text string) bool {
	return slices.Contains([]string{"-", "–", "—", "n/a", "N/A", "na", "NA", "?", "./."}, text)
}

// filled are the cells of a row that name the gel, the instrument, the member and the day. A
// blank one below one that is not is the same as above, if that was answered; blank is called
// for it.
func (w *walker) filled(row sheet.Row, blank func(Field)) map[Field]string {
	said := map[Field]string{}
	for _, f := range downwards {
		if len(w.at[f]) == 0 {
			continue
		}
		text := w.cell(row, f)
		if text == "" && w.above[f] != "" && (w.Kind == Tests || w.Kind == Stock && f != Instrument) {
			blank(f)
			if w.answers[blankKey+string(f)] == asAbove {
				text = w.above[f]
			}
		}
		if text != "" {
			w.above[f] = text
		}
		said[f] = text
	}
	for _, f := range []Field{Gel, Instrument, Person, Day} {
		if !w.holds(f) {
			said[f] = w.answers[everyRowKey+string(f)]
		}
	}
	if len(w.at[Gauge]) > 0 && len(w.at[Instrument]) == 0 {
		said[Instrument] = w.sizeOf(row)
	}
	if wall := w.wallOf(row); wall != "" && said[Instrument] != "" {
		said[Instrument] += " " + wall
	}
	return said
}

// sizeOf is a needle whose gauge, length and kind stand in cells of their own.
func (w *walker) sizeOf(row sheet.Row) string {
	gauge, length, kind := w.cell(row, Gauge), w.cell(row, Length), w.cell(row, Sharp)
	if gauge == "" {
		return ""
	}
	if bareNumber.MatchString(gauge) {
		gauge += "G"
	}
	if bareNumber.MatchString(length) {
		length += " mm"
	}
	switch strings.ToLower(kind) {
	case "n":
		kind = "needle"
	case "c":
		kind = "cannula"
	}
	return strings.Join(strings.Fields(gauge+" "+length+" "+kind), " ")
}

// wallOf is what a row says of the wall, in the words used beside a needle. A column headed by
// one wall class has a yes or a mark in it.
func (w *walker) wallOf(row sheet.Row) string {
	cell := w.cell(row, Wall)
	if cell == "" {
		return ""
	}
	wall, is := question.ReadWall(cell)
	if headed, one := question.ReadWall(w.columns[w.at[Wall][0]].heading); !is && one && saysYes(cell) {
		wall, is = headed, true
	}
	switch {
	case is && wall == "":
		return ""
	case is:
		return string(wall) + " wall"
	}
	return "wall " + cell // asked about with the needle
}

// isTest reports whether a row holds a test or a line of a list: it is not blank, and not the
// headings once more.
func (w *walker) isTest(row sheet.Row) bool {
	said, again := 0, 0
	for i, c := range w.columns {
		if i >= len(row.Cells) || c.field == leftOut || c.field == patient || c.field == "" {
			continue
		}
		text := strings.TrimSpace(row.Cells[i])
		if text != "" {
			said++
		}
		if text != "" && plainHeading(text) == plainHeading(c.heading) {
			again++
		}
	}
	return said > 0 && again < max(said, 1)
}

// survey finds in one row what has to be asked.
func (w *walker) survey(row sheet.Row) {
	if !w.isTest(row) {
		return
	}
	said := w.filled(row, func(f Field) { w.blanks[f]++ })
	if day := said[Day]; day != "" {
		w.surveyDay(day)
	}
	switch w.Kind {
	case Gels:
		w.surveyGel(said[Gel], w.cell(row, Class), row.Line)
		return
	case Needles:
		if text := said[Instrument]; text != "" {
			if is := w.place(Instrument, text, true); !is.addable {
				w.note(is, Instrument, text, row.Line, "")
			}
		}
		return
	}
	for _, f := range []Field{Setup, Gel, Instrument, Person} {
		if text := said[f]; text != "" {
			w.note(w.place(f, text, w.cell(row, Syringe) != ""), f, text, row.Line, w.cell(row, Class))
		}
	}
	if w.Kind != Tests {
		return
	}
	for _, t := range w.trials(row) {
		if part := w.read(t); part.unwatched && w.answers[watchedKey] == "" {
			w.unwatched++
		}
	}
}

// note keeps a name that is on no list, so that it is asked about once.
func (w *walker) note(is placed, field Field, text string, line int, class string) {
	if is.known {
		return
	}
	key := nameKey(field, text)
	n := w.byName[key]
	if n == nil {
		if len(w.unknown) >= mostUnknown {
			return
		}
		n = &unknownName{field: field, text: trade.Tidy(text), line: line, like: is.like, near: is.near,
			addable: is.addable}
		w.byName[key], w.unknown = n, append(w.unknown, n)
	}
	if c, ok := question.ReadClass(class); ok && field == Gel && n.class == "" && c != calc.UnknownGel {
		n.class = string(c)
	}
	n.rows++
}

// eachRow hands over rows while take wants more. It skips lines that cannot be read: Next
// returns their faults when the rows are read.
func eachRow(table *sheet.Table, take func(sheet.Row) (more bool)) error {
	for {
		row, err := table.Next()
		var fault *sheet.Fault
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case errors.As(err, &fault):
		case err != nil:
			return err
		case !take(row):
			return nil
		}
	}
}
