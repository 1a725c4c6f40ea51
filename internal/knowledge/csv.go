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

// Files are written as comma-separated values after RFC 4180 (lines end in CRLF), UTF-8, one
// heading line; package sheet reads others as well. What
// is written is read back the same, and writing it again gives the same bytes.
//
// A spreadsheet takes a cell that begins with = + - @ (or a tab or a line
// break, or their full-width forms) for a formula and may run it. Such a cell is written with an
// apostrophe in front, which is taken off when it is read. So that nothing is
// lost, a cell that begins with apostrophes and then such a character is written
// with one more as well: just those cells lose one on reading.

// RowFault says what is wrong with one line of a file.
type RowFault struct {
	Line    int // as an editor counts them, the heading is 1
	Problem string
}

// maxCell bounds a cell, characters: far above what a note has.
const maxCell = 2000

// Rows are the lines of a table, the heading first: those of a file, or what was made of
// them. A *sheet.Fault is about one line, a *sheet.Problem about all; io.EOF ends them.
type Rows interface {
	Next() (sheet.Row, error)
}

// FileLimits bound a file that whoever runs the program takes in: far above a large
// community's log, far below what would trouble a small machine.
func FileLimits() sheet.Limits {
	return sheet.Limits{Bytes: 512 << 20, Unpacked: 1 << 30, Rows: 1_000_000}
}

// tableOf reads a file again and again. What cannot be read at any place is kept in memory.
func tableOf(r io.Reader) source {
	file, again := r.(io.ReaderAt)
	var size int64
	switch of := r.(type) {
	case interface{ Size() int64 }:
		size = of.Size()
	case *os.File:
		again = false
		if info, err := of.Stat(); err == nil && info.Mode().IsRegular() {
			size, again = info.Size(), true
		}
	default:
		again = false
	}
	return func() (Rows, error) {
		if !again {
			data, err := io.ReadAll(io.LimitReader(r, FileLimits().Bytes+1))
			if err != nil {
				return nil, err
			}
			file, size, again = bytes.NewReader(data), int64(len(data)), true
		}
		return sheet.Open(file, size, FileLimits(), nil)
	}
}

// sheetRow is one line of a file by column. The next line takes its cells' place.
type sheetRow struct {
	line  int
	place map[string]int // by column
	cells []string       // trimmed
}

// get returns a cell; what is missing is "".
func (r sheetRow) get(name string) string {
	if i, ok := r.place[name]; ok {
		return r.cells[i]
	}
	return ""
}

// readSheet reads a table and hands over its rows, one by one. Columns may stand in any
// order. Lines that cannot be used, and those of which take says so, are faults in the
// report; usable is false where nothing of the file may be taken. err is for a reader that
// fails, and for any other error of take's.
func readSheet(lines Rows, columns []column, skipBad bool, report *ImportReport,
	take func(sheetRow) error) (usable bool, err error) {
	heading, err := lines.Next()
	if err != nil {
		return false, report.misread(err)
	}
	names, faults := readHeading(heading.Cells, columns)
	for _, fault := range faults {
		report.fault(fault.Line, fault.Problem)
	}
	if len(faults) > 0 && (names == nil || !skipBad) {
		return false, nil
	}
	sheet := newSheetReader(names)
	for {
		line, err := lines.Next()
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
		row, err := sheet.row(line.Line, line.Cells)
		if err == nil {
			err = take(row)
		}
		if problem, ok := rowProblem(err); ok {
			report.fault(line.Line, problem)
		} else if err != nil {
			return false, fmt.Errorf("line %d: %w", line.Line, err)
		}
	}
}

// misread makes what the reader complains of a fault of a line, or of the whole file;
// other errors come back.
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

// readHeading returns the column of each cell, "" for one to be left out, and
// nil if the lines under this heading cannot be used at all.
func readHeading(heading []string, columns []column) (names []string, faults []RowFault) {
	complain := func(problem string, args ...any) {
		faults = append(faults, RowFault{1, fmt.Sprintf(problem, args...)})
	}
	wanted := make(map[string]bool)
	for _, c := range columns {
		wanted[c.name] = true
	}
	seen := make(map[string]bool)
	usable := true
	for _, cell := range heading {
		name := strings.ToLower(strings.TrimSpace(cell))
		switch {
		case name == "":
		case !wanted[name]:
			complain("column %q is not known; want %s", cell, columnNames(columns))
			name = ""
		case seen[name]:
			complain("column %q stands there twice", name)
			usable = false
		}
		seen[name] = true
		names = append(names, name)
	}
	for _, c := range columns {
		if !seen[c.name] && !c.optional {
			complain("column %q is missing", c.name)
			usable = false
		}
	}
	if !usable {
		names = nil
	}
	return names, faults
}

func columnNames(columns []column) string {
	var names []string
	for _, c := range columns {
		names = append(names, c.name)
	}
	return strings.Join(names, ",")
}

func blank(cells []string) bool {
	return !slices.ContainsFunc(cells, func(cell string) bool { return strings.TrimSpace(cell) != "" })
}

// sheetReader puts the cells of lines under their columns.
type sheetReader struct {
	names  []string
	place  map[string]int
	cells  []string
	looked map[string]string // by column, the last text found not to be about a patient
}

func newSheetReader(names []string) *sheetReader {
	s := &sheetReader{names: names, place: make(map[string]int), cells: make([]string, len(names)),
		looked: make(map[string]string)}
	for i, name := range names {
		if name != "" {
			s.place[name] = i
		}
	}
	return s
}

// misfit is what is wrong with a line as a whole.
type misfit string

func (m misfit) Error() string { return string(m) }

// row reads a line, or says in a misfit or a *FieldError what is wrong with it.
func (s *sheetReader) row(line int, cells []string) (row sheetRow, err error) {
	if len(cells) > len(s.names) && !blank(cells[len(s.names):]) || len(cells) < len(s.names) {
		return row, misfit(fmt.Sprintf("has %d cells, the heading %d", len(cells), len(s.names)))
	}
	for i, name := range s.names {
		if name == "" {
			continue
		}
		cell := strings.TrimSpace(cells[i])
		if !utf8.ValidString(cell) {
			return row, trade.Refuse(name, "is not readable text (UTF-8)")
		}
		if utf8.RuneCountInString(cell) > maxCell {
			return row, trade.Refuse(name, "is longer than %d characters", maxCell)
		}
		if err := trade.CheckCharacters(name, cell); err != nil {
			return row, err
		}
		if s.cells[i] = strings.TrimSpace(unguard(cell)); s.cells[i] == "" || s.cells[i] == s.looked[name] {
			continue
		}
		if err := refusePatientData(name, s.cells[i]); err != nil {
			return row, err
		}
		s.looked[name] = s.cells[i]
	}
	return sheetRow{line, s.place, s.cells}, nil
}
