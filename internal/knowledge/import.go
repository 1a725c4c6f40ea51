package knowledge

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// ImportReport says what became of a file.
type ImportReport struct {
	Rows    int        // lines with something in them, the heading not counted
	Added   int        // stored now
	Already int        // stored before; nothing was done
	Changed int        // on the list before, now with what was not recorded yet
	Bad     int        // faults, those of the heading among them
	Faults  []RowFault // the first mostFaults of them
}

// mostFaults is how many faults of a file are named: who has so many mends one kind and
// tries again.
const mostFaults = 20

// Refused reports whether nothing was stored because of faults.
func (r ImportReport) Refused() bool {
	return r.Bad > 0 && r.Added+r.Already+r.Changed == 0
}

func (r *ImportReport) fault(line int, problem string) {
	if r.Bad++; len(r.Faults) < mostFaults {
		r.Faults = append(r.Faults, RowFault{line, problem})
	}
}

// become is what became of a good row.
type become int

const (
	added become = iota
	already
	changed
)

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

// sheetImport is how the rows of one kind of file get into the store. An item is what is
// to be stored of a row.
type sheetImport[T any] struct {
	// read makes an item of a row, or says what became of a row of which there is
	// nothing to store. It touches nothing: what it knows of the lists was read before.
	read func(row sheetRow) (item *T, became become, err error)
	// store stores items in one transaction and says what became of each.
	store  func(ctx context.Context, q querier, items []T) ([]become, error)
	atOnce int // so many items; other writers wait for half a second at most
}

// namesAtOnce products, instruments, members or things in stock take a third of a second
// to store.
const namesAtOnce = 1000

// partPause lets writers in that wait between two parts of a file.
const partPause = 20 * time.Millisecond

// importSheet stores the rows of a file. All of them are read first, while others may
// write; with a fault in any nothing is stored, unless skipBad says to store the others.
// They are stored in one transaction, or in parts where there are more than can be at
// once: should a part fail, those before it stay, and the same file brings the rest.
func importSheet[T any](ctx context.Context, g *Group, r io.Reader, columns []column, skipBad bool,
	prepare func(ctx context.Context, q querier) (sheetImport[T], error)) (report ImportReport, err error) {
	var in sheetImport[T]
	err = g.store.snapshot(ctx, func(q querier) error {
		in, err = prepare(ctx, q)
		return err
	})
	if err != nil {
		return ImportReport{}, err
	}
	var items []T
	usable, err := readSheet(r, columns, skipBad, &report, func(row sheetRow) error {
		item, became, err := in.read(row)
		if err == nil && item == nil {
			report.tally(became)
		}
		if item != nil && (report.Bad == 0 || skipBad) {
			items = append(items, *item)
		}
		return err
	})
	if err != nil {
		return ImportReport{}, err
	}
	if !usable || report.Bad > 0 && !skipBad {
		return ImportReport{Rows: report.Rows, Bad: report.Bad, Faults: report.Faults}, nil
	}
	return report, g.storeItems(ctx, len(items), in.atOnce, func(q querier, from, to int) error {
		became, err := in.store(ctx, q, items[from:to])
		for _, b := range became {
			report.tally(b)
		}
		return err
	})
}

// storeItems stores so many items, so many at once.
func (g *Group) storeItems(ctx context.Context, n, atOnce int, store func(q querier, from, to int) error) error {
	for from := 0; from < n; from += atOnce {
		if from > 0 {
			time.Sleep(partPause)
		}
		err := g.store.inTx(ctx, func(q querier) error { return store(q, from, min(from+atOnce, n)) })
		if err != nil && from > 0 {
			err = fmt.Errorf("the first %d of %d are stored, import the file again for the rest: %w", from, n, err)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// rowProblem returns the words of an error that is the row's own fault.
func rowProblem(err error) (string, bool) {
	var field *trade.FieldError
	var outside *calc.RangeError
	var whole misfit
	switch {
	case errors.As(err, &whole):
		return whole.Error(), true
	case errors.As(err, &field):
		return field.Error(), true
	case errors.As(err, &outside):
		return outside.Error(), true
	}
	return "", false
}
