// Package sheet reads a table of text cells row by row from a file that a spreadsheet or a
// person made: CSV with commas, semicolons or tabs, in UTF-8, UTF-16 or Windows-1252, or a
// workbook (.xlsx). It knows no store and not what the cells mean.
//
// It never computes a formula: the cell is the value that was stored with it. A cell that a
// workbook keeps as a date is read as 2006-01-02, whatever it shows. Memory does not grow with
// the number of rows, and a file that unpacks to more than is allowed is refused before it is
// unpacked.
package sheet

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Limits bound what is read of a file.
type Limits struct {
	Bytes    int64 // of the file as it is
	Unpacked int64 // of a workbook once unpacked
	Rows     int   // lines with something in them
}

// mostColumns is far above what a log has, and far below what a workbook can claim to have.
const mostColumns = 256

// Row is one line with something in it.
type Row struct {
	Line  int      // as an editor or a spreadsheet counts them, from 1
	Cells []string // valid until the next row is read
}

// Problem is what is wrong with a file as a whole, a sentence without its full stop.
type Problem struct{ Why string }

func (p *Problem) Error() string { return p.Why }

// Fault is what is wrong with one line. The lines after it can still be read.
type Fault struct {
	Line int
	Why  string
}

func (f *Fault) Error() string { return fmt.Sprintf("line %d: %s", f.Line, f.Why) }

// Table is a file that is being read.
type Table struct {
	limits Limits
	rows   int
	next   func() (Row, error) // io.EOF after the last
	close  func() error
	csv    *csv.Reader // nil for a workbook
	name   string
	others []string
}

// Open reads the first sheet of a file for which pick holds, by its first rows; if pick is nil
// or holds for none, the first sheet that is not empty.
//
// Errors: *Problem, and those of r.
func Open(r io.ReaderAt, size int64, limits Limits, pick func(rows [][]string) bool) (*Table, error) {
	if size > limits.Bytes {
		return nil, &Problem{fmt.Sprintf("the file is larger than %d MB", limits.Bytes>>20)}
	}
	start := make([]byte, 8)
	n, err := r.ReadAt(start, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	start = start[:n]
	var t *Table
	switch {
	case strings.HasPrefix(string(start), "PK\x03\x04"):
		t, err = openBook(r, size, limits, pick)
	case strings.HasPrefix(string(start), "\xd0\xcf\x11\xe0"):
		err = &Problem{"the file is an old or a locked workbook; save it as .xlsx without a password, or as CSV"}
	case strings.HasPrefix(string(start), "%PDF"):
		err = &Problem{"the file is a PDF; save the sheet as .xlsx or CSV"}
	default:
		t, err = openText(io.NewSectionReader(r, 0, size))
	}
	if err != nil {
		return nil, err
	}
	t.limits = limits
	return t, nil
}

// Next returns the next row with something in it, and io.EOF after the last.
//
// Errors: *Fault for a line that cannot be read, after which Next goes on; *Problem, and those
// of the file.
func (t *Table) Next() (Row, error) {
	for {
		row, err := t.next()
		if err == nil && blank(row.Cells) {
			continue
		}
		if len(row.Cells) > mostColumns {
			return Row{}, &Problem{fmt.Sprintf("line %d has more than %d columns", row.Line, mostColumns)}
		}
		if !errors.Is(err, io.EOF) {
			if t.rows++; t.rows > t.limits.Rows+1 { // and the heading
				return Row{}, &Problem{fmt.Sprintf("the file has more than %d lines", t.limits.Rows)}
			}
		}
		return row, err
	}
}

// Lenient reads misplaced quotation marks as they stand, from the next row on.
func (t *Table) Lenient() {
	if t.csv != nil {
		t.csv.LazyQuotes = true
	}
}

// Name is the name of the sheet that is read, "" if the file has only one.
func (t *Table) Name() string { return t.name }

// Others are the sheets that are not empty and are not read.
func (t *Table) Others() []string { return t.others }

// Close removes what was opened beside the file.
func (t *Table) Close() error { return t.close() }

func blank(cells []string) bool {
	return !slices.ContainsFunc(cells, func(cell string) bool { return strings.TrimSpace(cell) != "" })
}
