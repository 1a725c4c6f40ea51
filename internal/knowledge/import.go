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

	unreadable bool // the file as a whole
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

// source opens the rows of a table, from the first on each time.
type source func() (Rows, error)

// Importing is how a file is taken in.
type Importing struct {
	SkipBad bool      // leave bad rows out and store the others
	Dry     bool      // say what would become of it, and store nothing
	By      Member    // who brings it in; the zero Member for whoever runs the program
	New     Additions // for a file of tests: names that it brings along
	// Apart has the names of other products that a new one is nearly called like and is not.
	Apart map[string][]string
	Told  func(ImportReport)

	unestimated bool // estimates are left to who asks first
}

// sheetImport is how the rows of one kind of file get into the store. An item is what is
// to be stored of a row.
type sheetImport[T any] struct {
	// read makes an item of a row, and says what will become of it; a row of which there is
	// nothing to store has none. It touches nothing: what it knows of the lists was read before.
	read func(row sheetRow) (item *T, became become, err error)
	// store stores items in one transaction and says what became of each.
	store  func(ctx context.Context, q querier, items []T) ([]become, error)
	atOnce int // so many items; other writers wait for half a second at most
	held   int // so many items are held in memory; of more the file is read once more; 0: any number
	parts  parts[T]
}

// parts makes one whole of a file that is read once more and stored in parts. All of it is
// needed where held is.
type parts[T any] struct {
	late   func(item T) bool                                     // is stored with the last part
	part   func(ctx context.Context, q querier, last bool) error // within its transaction, before it is stored
	failed func(ctx context.Context, fault error) error          // after a part failed that is not the first
}

// namesAtOnce products, instruments, members or things in stock take a third of a second
// to store.
const namesAtOnce = 1000

// partPause lets writers in that wait between two parts of a file.
const partPause = 20 * time.Millisecond

// sheetRun is one file on its way into the store.
type sheetRun[T any] struct {
	g       *Group
	open    source
	columns []column
	how     Importing
	prepare func(ctx context.Context, q querier) (sheetImport[T], error)
}

// importSheet stores the rows of a file. All of them are read first, while others may
// write; with a fault in any nothing is stored, unless SkipBad says to store the others.
// They are stored in one transaction, or in parts where there are more than can be at
// once. Should a part fail, a file that is read once more for its parts leaves nothing; of
// another the parts before stay, and the same file brings the rest.
func importSheet[T any](ctx context.Context, g *Group, open source, columns []column, how Importing,
	prepare func(ctx context.Context, q querier) (sheetImport[T], error)) (ImportReport, error) {
	run := sheetRun[T]{g, open, columns, how, prepare}
	var items []T
	var planned, report ImportReport
	many := false
	in, usable, err := run.read(ctx, &report, func(in sheetImport[T], item *T, became become) error {
		planned.tally(became)
		switch {
		case item == nil:
			report.tally(became)
		case how.Dry || many || report.Bad > 0 && !how.SkipBad:
		case in.held > 0 && len(items) >= in.held:
			items, many = nil, true
		default:
			items = append(items, *item)
		}
		return nil
	})
	switch {
	case err != nil:
		return ImportReport{}, err
	case usable && how.Dry:
		report.Added, report.Already, report.Changed = planned.Added, planned.Already, planned.Changed
		return report, nil
	case !usable || report.Bad > 0 && !how.SkipBad:
		return ImportReport{Rows: report.Rows, Bad: report.Bad, Faults: report.Faults}, nil
	case many:
		return run.streamed(ctx, report)
	}
	return report, g.storeItems(ctx, len(items), in.atOnce, func(q querier, from, to int) error {
		if in.parts.part != nil {
			if err := in.parts.part(ctx, q, to == len(items)); err != nil {
				return err
			}
		}
		became, err := in.store(ctx, q, items[from:to])
		for _, b := range became {
			report.tally(b)
		}
		return err
	})
}

// read reads a file once from its beginning, against the lists as they are now, and hands
// over what its good rows are.
func (run sheetRun[T]) read(ctx context.Context, report *ImportReport,
	take func(in sheetImport[T], item *T, became become) error) (in sheetImport[T], usable bool, err error) {
	err = run.g.store.snapshot(ctx, func(q querier) error {
		in, err = run.prepare(ctx, q)
		return err
	})
	if err != nil {
		return in, false, err
	}
	table, err := run.open()
	if err != nil {
		return in, false, report.misread(err)
	}
	if closer, is := table.(io.Closer); is {
		defer func() { err = errors.Join(err, closer.Close()) }()
	}
	usable, err = readSheet(table, run.columns, run.how.SkipBad, report, func(row sheetRow) error {
		if report.Rows%toldEvery == 0 && run.how.Told != nil {
			run.how.Told(*report)
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		item, became, err := in.read(row)
		if err != nil {
			return err
		}
		return take(in, item, became)
	})
	return in, usable, err
}

// toldEvery so many rows whoever waits is told how far it is.
const toldEvery = 50_000

// streamed reads a file whose rows were found good, or are to be left out, once more, and
// stores them part by part, all or none in the end.
func (run sheetRun[T]) streamed(ctx context.Context, checked ImportReport) (ImportReport, error) {
	var again, stored ImportReport
	var part, late []T
	begun := false
	put := func(in sheetImport[T], last bool) error {
		if begun {
			time.Sleep(partPause)
		}
		err := run.g.store.inTx(ctx, func(q querier) error {
			if err := in.parts.part(ctx, q, last); err != nil {
				return err
			}
			became, err := in.store(ctx, q, part)
			for _, b := range became {
				stored.tally(b)
			}
			return err
		})
		if err == nil {
			begun, part = true, part[:0]
		}
		return err
	}
	in, _, err := run.read(ctx, &again, func(in sheetImport[T], item *T, became become) error {
		switch {
		case item == nil:
			stored.tally(became)
			return nil
		case in.parts.late(*item):
			late = append(late, *item)
			return nil
		}
		if part = append(part, *item); len(part) < in.atOnce {
			return nil
		}
		return put(in, false)
	})
	if err == nil && again.Bad > checked.Bad {
		err = errors.New("the lists were changed while the file was read")
	}
	if err == nil {
		part = append(part, late...)
		err = put(in, true)
	}
	if err != nil && begun {
		return ImportReport{}, in.parts.failed(ctx, err)
	}
	checked.Added, checked.Already, checked.Changed = stored.Added, stored.Already, stored.Changed
	return checked, err
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
