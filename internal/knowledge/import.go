package knowledge

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// ImportReport says what became of a file.
type ImportReport struct {
	Rows    int // lines with something in them, the heading not counted
	Added   int // stored now
	Already int // stored before; nothing was done
	Changed int // on the list before, now with what was not recorded yet
	Faults  []RowFault
}

// Refused reports whether nothing was stored because of faults.
func (r ImportReport) Refused() bool {
	return len(r.Faults) > 0 && r.Added+r.Already+r.Changed == 0
}

// become is what became of a good row.
type become int

const (
	added become = iota
	already
	changed
)

// errRefused undoes an import that has faults.
var errRefused = errors.New("the file has faults")

// importSheet stores the rows of a file with store, all in one transaction. With
// a fault in any row nothing is stored, unless skipBad says to store the others.
// store must touch nothing before it has found a row good.
func (g *Group) importSheet(ctx context.Context, r io.Reader, columns []column, skipBad bool,
	prepare func(ctx context.Context, q querier) (store func(sheetRow) (become, error), err error)) (report ImportReport, err error) {
	rows, faults, err := readSheet(r, columns, skipBad)
	if err != nil {
		return ImportReport{}, err
	}
	report = ImportReport{Rows: len(rows), Faults: faults}
	for _, fault := range faults {
		if fault.Line > 1 {
			report.Rows++
		}
	}
	err = g.store.inTx(ctx, func(q querier) error {
		store, err := prepare(ctx, q)
		if err != nil {
			return err
		}
		for _, row := range rows {
			became, err := store(row)
			if fault, ok := rowProblem(err); ok {
				report.Faults = append(report.Faults, RowFault{row.line, fault})
				continue
			}
			if err != nil {
				return fmt.Errorf("line %d: %w", row.line, err)
			}
			report.tally(became)
		}
		if len(report.Faults) > 0 && !skipBad {
			return errRefused
		}
		return nil
	})
	report.sortFaults()
	if errors.Is(err, errRefused) {
		return ImportReport{Rows: report.Rows, Faults: report.Faults}, nil
	}
	if err != nil {
		return ImportReport{}, err
	}
	return report, nil
}

func (r *ImportReport) tally(became become) {
	switch became {
	case added:
		r.Added++
	case already:
		r.Already++
	case changed:
		r.Changed++
	}
}

func (r *ImportReport) sortFaults() {
	slices.SortStableFunc(r.Faults, func(a, b RowFault) int { return cmp.Compare(a.Line, b.Line) })
}

// rowProblem returns the words of an error that is the row's own fault.
func rowProblem(err error) (string, bool) {
	var field *trade.FieldError
	var outside *calc.RangeError
	switch {
	case errors.As(err, &field):
		return field.Error(), true
	case errors.As(err, &outside):
		return outside.Error(), true
	}
	return "", false
}
