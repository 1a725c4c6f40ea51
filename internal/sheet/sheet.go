// Package sheet reads a table of text cells row by row from a file that a spreadsheet or
// a person made: CSV with commas, semicolons or tabs, in UTF-8, UTF-16 or Windows-1252, or
// a workbook (.xlsx). It knows no store and nothing of what the cells mean.
//
// A formula is never computed: its cell is the value that was stored with it. A cell that
// a workbook keeps as a date comes out as 2006-01-02, whatever the cell shows. Memory does
// not grow with the number of rows, and a file that unpacks to more than was allowed is
// refused before it is unpacked.
package sheet

import (
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

// mostColumns is far above what a log has, and far below what a book can claim to have.
const mostColumns = 256

// Row is one line with something in it.
type Row struct {
	Line  int      // as an editor or a spreadsheet counts them, from 1
	Cells []string // the next row may take their place
}

// Problem is what is wrong with a file as a whole, a sentence without its full stop.
type Problem struct{ Why string }

func (p *Problem) Error() string { return p.Why }

// Fault is what is wrong with one line. The lines after it can be read.
type Fault struct {
	Line int
	Why  string
}

func (f *Fault) Error() string { return fmt.Sprintf("line %d: %s", f.Line, f.Why) }

// Table is a file that is being read.
type Table struct {
	limits Limits
	rows   int
	src    source
}

// source is one kind of file.
type source interface {
	next() (Row, error) // io.EOF after the last
	lenient()           // take quotation marks that are out of place as they stand
	close() error
	others() []string // sheets that hold something and are not read
	name() string     // of the sheet that is read, "" where the file has only one
}

// Open reads the first sheet of a file that pick takes, by its first rows; with pick nil,
// or where it takes none, the first that has anything in it.
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
	t := &Table{limits: limits}
	switch {
	case strings.HasPrefix(string(start), "PK\x03\x04"):
		t.src, err = openBook(r, size, limits, pick)
	case strings.HasPrefix(string(start), "\xd0\xcf\x11\xe0"):
		err = &Problem{"the file is an old or a locked workbook; save it as .xlsx without a password, or as CSV"}
	case strings.HasPrefix(string(start), "%PDF"):
		err = &Problem{"the file is a PDF; save the sheet as .xlsx or CSV"}
	default:
		t.src, err = openText(io.NewSectionReader(r, 0, size))
	}
	if err != nil {
		return nil, err
	}
	return t, nil
}

// Next returns the next row with something in it, and io.EOF after the last.
//
// Errors: *Fault for a line that cannot be read, after which there may be others;
// *Problem, and those of the file.
func (t *Table) Next() (Row, error) {
	for {
		row, err := t.src.next()
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

// Lenient takes quotation marks that are out of place as they stand from the next row on.
func (t *Table) Lenient() { t.src.lenient() }

// Name is that of the sheet which is read, "" where the file has only one.
func (t *Table) Name() string { return t.src.name() }

// Others are the sheets that hold something and are not read.
func (t *Table) Others() []string { return t.src.others() }

// Close gives back what was opened beside the file.
func (t *Table) Close() error { return t.src.close() }

func blank(cells []string) bool {
	return !slices.ContainsFunc(cells, func(cell string) bool { return strings.TrimSpace(cell) != "" })
}
