package knowledge

import (
	"encoding/csv"
	"io"
	"regexp"
	"slices"
	"strings"
)

// column is one column of a kind of file.
type column struct {
	name     string
	optional bool // the file may do without it
}

// written is a column with what stands in it of each T.
type written[T any] struct {
	name     string
	optional bool
	cell     func(T) string
	where    func(T) bool // the column is left out where this holds of none; nil: it always stands there
}

// table is a kind of file that has a T in each line.
type table[T any] []written[T]

// columns are those that a file may have.
func (t table[T]) columns() (all []column) {
	for _, c := range t {
		all = append(all, column{c.name, c.optional})
	}
	return all
}

// write writes a file of these.
func (t table[T]) write(w io.Writer, all []T) error {
	t = slices.DeleteFunc(slices.Clone(t), func(c written[T]) bool {
		return c.where != nil && !slices.ContainsFunc(all, c.where)
	})
	cells := make([]string, len(t))
	for i, c := range t {
		cells[i] = c.name
	}
	sheet := newSheetWriter(w, cells...)
	for _, one := range all {
		for i, c := range t {
			cells[i] = c.cell(one)
		}
		sheet.row(cells...)
	}
	return sheet.close()
}

// sheetWriter writes a file of one kind.
type sheetWriter struct {
	out   *csv.Writer
	cells []string
}

func newSheetWriter(w io.Writer, columns ...string) *sheetWriter {
	s := &sheetWriter{out: csv.NewWriter(w)}
	s.out.UseCRLF = true
	_ = s.out.Write(columns) // a failure shows in close
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
