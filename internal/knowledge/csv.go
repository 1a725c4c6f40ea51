package knowledge

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"unicode/utf8"

	"holdbench/internal/sheet"
	"holdbench/internal/trade"
)

// Files are written as comma-separated values after RFC 4180 (lines end in CRLF), in UTF-8,
// with one heading line; package sheet reads other forms as well. What is written is read
// back the same, and writing it again gives the same bytes.
//
// A spreadsheet takes a cell that begins with = + - @, their full-width forms, a tab or a
// line break for a formula and may run it. Such a cell is written with an apostrophe in
// front, and reading takes it off. So that nothing is lost, a cell that begins with
// apostrophes and then such a character is written with one more as well: only such cells
// lose one when they are read.

// RowFault says what is wrong with one line of a file.
type RowFault struct {
	Line    int // as an editor counts them, the heading is 1
	Problem string
}

// maxCell bounds a cell, characters: far above what a note has.
const maxCell = 2000

// Rows are the lines of a table, the heading first. A *sheet.Fault is about one line, a
// *sheet.Problem about the whole table; io.EOF ends it.
type Rows interface {
	Next() (sheet.Row, error)
}

// FileLimits bound a file that is brought in where the program runs: far above a large
// community's log, far below what would trouble a small machine.
func FileLimits() sheet.Limits {
	return sheet.Limits{Bytes: 512 << 20, Unpacked: 1 << 30, Rows: 1_000_000}
}

// RowsOf opens the rows of a file as often as it is called. What is neither a regular file
// nor kept in memory is read into memory first.
func RowsOf(r io.Reader) func() (Rows, error) {
	file, seekable := r.(io.ReaderAt)
	var size int64
	switch of := r.(type) {
	case interface{ Size() int64 }:
		size = of.Size()
	case *os.File:
		seekable = false
		if info, err := of.Stat(); err == nil && info.Mode().IsRegular() {
			size, seekable = info.Size(), true
		}
	default:
		seekable = false
	}
	return func() (Rows, error) {
		if !seekable {
			data, err := io.ReadAll(io.LimitReader(r, FileLimits().Bytes+1))
			if err != nil {
				return nil, err
			}
			file, size, seekable = bytes.NewReader(data), int64(len(data)), true
		}
		return sheet.Open(file, size, FileLimits(), nil)
	}
}

// readAll reads rows and hands over what each holds. Rows that cannot be used, and those that
// take refuses, are faults in the report; usable is false where nothing of the file may be
// stored. err is a failure to read, or any other error of take's.
func (t table[T]) readAll(rows Rows, skipBad bool, report *ImportReport, take func(T) error) (usable bool, err error) {
	heading, err := rows.Next()
	if err != nil {
		return false, report.misread(err)
	}
	reader, faults := t.under(heading.Cells)
	for _, fault := range faults {
		report.fault(fault.Line, fault.Problem)
	}
	if len(faults) > 0 && (reader == nil || !skipBad) {
		return false, nil
	}
	for {
		row, err := rows.Next()
		if errors.Is(err, io.EOF) {
			return report.Rows > 0 || report.Bad == 0, nil
		}
		report.Rows++
		if err != nil {
			if err := report.misread(err); err != nil || report.unreadable {
				return false, err
			}
			continue
		}
		one, err := reader.read(row.Cells)
		if err == nil {
			err = take(one)
		}
		if problem, ok := rowProblem(err); ok {
			report.fault(row.Line, problem)
		} else if err != nil {
			return false, fmt.Errorf("line %d: %w", row.Line, err)
		}
	}
}

// misread counts what the reader complains of as a fault of a line, or of the whole file. It
// returns other errors.
func (r *ImportReport) misread(err error) error {
	var line *sheet.Fault
	var whole *sheet.Problem
	switch {
	case errors.Is(err, io.EOF):
		r.fault(1, "the file is empty")
	case errors.As(err, &line):
		r.fault(line.Line, line.Why)
	case errors.As(err, &whole):
		*r = ImportReport{unreadable: true}
		r.fault(1, whole.Why)
	default:
		return err
	}
	return nil
}

// lineReader reads the lines below one heading.
type lineReader[T any] struct {
	table  table[T]
	place  []int    // of each column of the table, -1 where the file lacks it
	width  int      // cells of the heading
	cells  []string // of the present line, by column of the table
	looked []string // by column, the last text found not to be about a patient
}

// under is the reader of the lines below a heading, nil if they cannot be used at all.
func (t table[T]) under(heading []string) (r *lineReader[T], faults []RowFault) {
	complain := func(problem string, args ...any) {
		faults = append(faults, RowFault{1, fmt.Sprintf(problem, args...)})
	}
	r = &lineReader[T]{table: t, width: len(heading), cells: make([]string, len(t)), looked: make([]string, len(t))}
	names := t.names()
	for range t {
		r.place = append(r.place, -1)
	}
	usable := true
	for i, cell := range heading {
		name := strings.ToLower(strings.TrimSpace(cell))
		at := slices.Index(names, name)
		switch {
		case name == "":
		case at < 0:
			complain("column %q is not known; want %s", cell, strings.Join(names, ","))
		case r.place[at] >= 0:
			complain("column %q stands there twice", name)
			usable = false
		default:
			r.place[at] = i
		}
	}
	for i, c := range t {
		if r.place[i] < 0 && !c.optional {
			complain("column %q is missing", c.name)
			usable = false
		}
	}
	if !usable {
		r = nil
	}
	return r, faults
}

// fits reports whether a heading has just these columns.
func (t table[T]) fits(heading []string) bool {
	reader, faults := t.under(heading)
	return reader != nil && len(faults) == 0
}

func blank(cells []string) bool {
	return !slices.ContainsFunc(cells, func(cell string) bool { return strings.TrimSpace(cell) != "" })
}

// misfit is what is wrong with a line as a whole.
type misfit string

func (m misfit) Error() string { return string(m) }

// read reads the cells of a line, or says in a misfit or a *FieldError what is wrong with them.
func (r *lineReader[T]) read(line []string) (t T, err error) {
	if len(line) > r.width && !blank(line[r.width:]) || len(line) < r.width {
		return t, misfit(fmt.Sprintf("has %d cells, the heading %d", len(line), r.width))
	}
	for i, at := range r.place {
		if at < 0 {
			continue
		}
		if err := r.check(i, strings.TrimSpace(line[at])); err != nil {
			return t, err
		}
	}
	for i, c := range r.table {
		if err := c.read(&t, r.cells[i]); err != nil {
			return t, err
		}
	}
	return t, nil
}

// check keeps a cell, unless it cannot be read or is about a patient.
func (r *lineReader[T]) check(i int, cell string) error {
	name := r.table[i].name
	if !utf8.ValidString(cell) {
		return trade.Refuse(name, "is not readable text (UTF-8)")
	}
	if utf8.RuneCountInString(cell) > maxCell {
		return trade.Refuse(name, "is longer than %d characters", maxCell)
	}
	if err := trade.CheckCharacters(name, cell); err != nil {
		return err
	}
	r.cells[i] = strings.TrimSpace(unguard(cell))
	if r.cells[i] == "" || r.cells[i] == r.looked[i] {
		return nil
	}
	if err := refusePatientData(name, r.cells[i]); err != nil {
		return err
	}
	r.looked[i] = r.cells[i]
	return nil
}
