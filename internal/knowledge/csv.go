package knowledge

import (
	"bufio"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode/utf8"

	"holdbench/internal/trade"
)

// Files are comma-separated values after RFC 4180 (lines end in CRLF), UTF-8, one
// heading line; on reading, other line ends will do. What
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

// Bounds on a file: far above a large community's log, far below what would
// trouble a small machine.
const (
	maxFileBytes = 64 << 20
	maxRows      = 500_000
	maxCell      = 2000 // characters
)

// column is one column of a kind of file.
type column struct {
	name     string
	optional bool // the file may do without it
}

// sheetRow is one line of a file by column.
type sheetRow struct {
	line  int
	cells map[string]string // trimmed; what is missing is ""
}

func (r sheetRow) get(name string) string { return r.cells[name] }

// readSheet reads a file. Columns may stand in any order. faults name lines that
// cannot be used; without a usable heading there are no rows. err is for a
// reader that fails.
func readSheet(r io.Reader, columns []column, skipBad bool) (rows []sheetRow, faults []RowFault, err error) {
	limited := &io.LimitedReader{R: r, N: maxFileBytes + 1}
	text := csv.NewReader(withoutBOM(limited))
	text.FieldsPerRecord = -1
	heading, err := text.Read()
	if err != nil {
		faults, err = faultOf(err, "the file is empty")
		return nil, faults, err
	}
	names, faults := readHeading(heading, columns)
	if len(faults) > 0 && (names == nil || !skipBad) {
		return nil, faults, nil
	}
	for {
		cells, err := text.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			fault, err := faultOf(err, "")
			if err != nil {
				return nil, nil, err
			}
			faults = append(faults, fault...)
			continue
		}
		line, _ := text.FieldPos(0)
		if blank(cells) {
			continue
		}
		row, fault := readRow(line, cells, names)
		if fault != "" {
			faults = append(faults, RowFault{line, fault})
			continue
		}
		if rows = append(rows, row); len(rows) > maxRows {
			return nil, []RowFault{{line, fmt.Sprintf("the file has more than %d lines", maxRows)}}, nil
		}
	}
	if limited.N <= 0 {
		return nil, []RowFault{{1, fmt.Sprintf("the file is larger than %d MB", maxFileBytes>>20)}}, nil
	}
	return rows, faults, nil
}

// withoutBOM leaves out the mark that some programs put before UTF-8 text.
func withoutBOM(r io.Reader) io.Reader {
	buffered := bufio.NewReader(r)
	if mark, err := buffered.Peek(3); err == nil && string(mark) == "\uFEFF" {
		_, _ = buffered.Discard(len(mark)) // peeked above: cannot fail
	}
	return buffered
}

// faultOf turns what the reader complains of into a fault of a line.
func faultOf(err error, ifEmpty string) ([]RowFault, error) {
	var parse *csv.ParseError
	switch {
	case errors.Is(err, io.EOF):
		return []RowFault{{1, ifEmpty}}, nil
	case errors.As(err, &parse):
		return []RowFault{{parse.StartLine, `a quotation mark is out of place; write a cell that has one as "like ""this"""`}}, nil
	}
	return nil, err
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
			complain("column %q is missing; columns are separated by commas", c.name)
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

func blank(cells []string) bool { return strings.TrimSpace(strings.Join(cells, "")) == "" }

// readRow puts the cells of a line under their columns, or says what is wrong.
func readRow(line int, cells []string, names []string) (row sheetRow, fault string) {
	if len(cells) > len(names) && !blank(cells[len(names):]) || len(cells) < len(names) {
		return row, fmt.Sprintf("has %d cells, the heading %d", len(cells), len(names))
	}
	row = sheetRow{line: line, cells: make(map[string]string, len(names))}
	for i, name := range names {
		if name == "" {
			continue
		}
		cell := strings.TrimSpace(cells[i])
		if !utf8.ValidString(cell) {
			return row, name + ": is not readable text (UTF-8)"
		}
		if utf8.RuneCountInString(cell) > maxCell {
			return row, fmt.Sprintf("%s: is longer than %d characters", name, maxCell)
		}
		if err := cmp.Or(trade.CheckCharacters(name, cell), refuseDoubt(name, cell)); err != nil {
			return row, err.Error()
		}
		row.cells[name] = strings.TrimSpace(unguard(cell))
	}
	return row, ""
}

// formulaLike finds the cells that get or lose an apostrophe.
var formulaLike = regexp.MustCompile(`^'*[=+\-@\t\r\n＝＋－＠]`)

// guard makes a cell safe to open in a spreadsheet.
func guard(cell string) string {
	if formulaLike.MatchString(cell) {
		return "'" + cell
	}
	return cell
}

// unguard undoes guard.
func unguard(cell string) string {
	if strings.HasPrefix(cell, "'") && formulaLike.MatchString(cell) {
		return cell[1:]
	}
	return cell
}

// sheetWriter writes a file of one kind.
type sheetWriter struct {
	out   *csv.Writer
	cells []string
}

func newSheetWriter(w io.Writer, columns []column) *sheetWriter {
	s := &sheetWriter{out: csv.NewWriter(w)}
	s.out.UseCRLF = true
	for _, c := range columns {
		s.cells = append(s.cells, c.name)
	}
	_ = s.out.Write(s.cells) // a failure shows in close
	return s
}

// row writes one line.
func (s *sheetWriter) row(cells ...string) {
	s.cells = s.cells[:0]
	for _, cell := range cells {
		s.cells = append(s.cells, guard(cell))
	}
	_ = s.out.Write(s.cells) // a failure shows in close
}

// close writes what is left and returns the first failure.
func (s *sheetWriter) close() error {
	s.out.Flush()
	return s.out.Error()
}
