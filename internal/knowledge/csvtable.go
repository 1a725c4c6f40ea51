package knowledge

import (
	"encoding/csv"
	"io"
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/trade"
)

// column is one column of a kind of file that has a T in each line.
type column[T any] struct {
	name     string
	optional bool // a file may lack it
	write    func(*T) string
	read     func(t *T, cell string) error // the cell is "" where the file lacks the column
	where    func(*T) bool                 // it is written only if this holds of some T; nil: always
}

// table is a kind of file: its columns in the order in which they are written. They are read
// in this order, too, whatever the order in the file.
type table[T any] []column[T]

// words is a column whose cell is a field as it stands.
func words[T any, S ~string](name string, field func(*T) *S) column[T] {
	return column[T]{name: name, write: func(t *T) string { return string(*field(t)) },
		read: func(t *T, cell string) error { *field(t) = S(cell); return nil }}
}

// number is a column of a number that every line has.
func number[T any](name string, field func(*T) *float64) column[T] {
	return column[T]{name: name, write: func(t *T) string { return trade.Number(*field(t)) },
		read: func(t *T, cell string) (err error) {
			*field(t), err = trade.ReadNumber(name, cell)
			return err
		}}
}

// numberIfKnown is an optional column of a number. Its cell is blank for 0, which stands for
// "not recorded"; a blank cell leaves the field as it is.
func numberIfKnown[T any](name string, field func(*T) *float64) column[T] {
	known := number(name, field)
	return column[T]{name: name, optional: true,
		write: func(t *T) string {
			if *field(t) == 0 {
				return ""
			}
			return known.write(t)
		},
		read: func(t *T, cell string) error {
			if cell == "" {
				return nil
			}
			return known.read(t, cell)
		}}
}

// optionally is a column that a file may lack.
func (c column[T]) optionally() column[T] {
	c.optional = true
	return c
}

// onlyWhere is an optional column that is written only if this holds of some T.
func (c column[T]) onlyWhere(holds func(*T) bool) column[T] {
	c.optional, c.where = true, holds
	return c
}

// retired is the column with the day since when a thing is retired, written only if some are.
func retired[T any](field func(*T) *string) column[T] {
	return words("retired_on", field).onlyWhere(func(t *T) bool { return *field(t) != "" })
}

// names are the names of all columns.
func (t table[T]) names() (names []string) {
	for _, c := range t {
		names = append(names, c.name)
	}
	return names
}

// writeTo writes a file of these.
func (t table[T]) writeTo(w io.Writer, all []T) error {
	t = slices.DeleteFunc(slices.Clone(t), func(c column[T]) bool {
		return c.where != nil && !slices.ContainsFunc(all, func(one T) bool { return c.where(&one) })
	})
	sheet := newSheetWriter(w, t.names()...)
	cells := make([]string, len(t))
	for i := range all {
		for j, c := range t {
			cells[j] = c.write(&all[i])
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
	_ = s.out.Write(columns) // close returns a failure
	return s
}

// row writes one line.
func (s *sheetWriter) row(cells ...string) {
	s.cells = s.cells[:0]
	for _, cell := range cells {
		s.cells = append(s.cells, guard(cell))
	}
	_ = s.out.Write(s.cells) // close returns a failure
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
