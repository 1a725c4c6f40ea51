package knowledge

import (
	"cmp"
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

// Importing is how a file is taken in.
type Importing struct {
	SkipBad bool      // leave bad rows out and store the others
	Dry     bool      // say what would become of the file, and store nothing
	By      Member    // who brings it in; the zero Member for whoever runs the program
	New     Additions // with a file of tests: new names to put on the lists
	// Apart has, by the name of a new product, the products that it looks like and is not.
	Apart map[string][]string
	Told  func(ImportReport) // told every toldEvery rows how far the reading is
	// Unestimated leaves each estimate to whoever asks first about its product.
	Unestimated bool
}

// fileImport is how the lines of one kind of file get into the store. A line holds a T; an I
// is what is to be stored of it.
type fileImport[T, I any] struct {
	table table[T]
	// plan says what is to be stored of a line, nil for nothing, and what will become of it. It
	// knows the lists as they were read before and stores nothing.
	plan func(T) (item *I, became become, err error)
	// store stores items in one transaction and says what became of each.
	store  func(ctx context.Context, q querier, items []*I) ([]become, error)
	atOnce int // so many items are stored at once, 0: namesAtOnce; other writers wait for half a second at most
	held   int // of more items than this the file is read a second time; 0: all are held in memory
	parts  parts[I]
}

// parts makes one whole of a file that is read a second time and stored in parts. A
// fileImport with held needs all three.
type parts[I any] struct {
	late   func(*I) bool                                         // whether an item is stored with the last part
	part   func(ctx context.Context, q querier, last bool) error // begins a part within its transaction
	failed func(ctx context.Context, fault error) error          // after a part failed that is not the first
}

// namesAtOnce products, instruments, members or things in stock take a third of a second
// to store.
const namesAtOnce = 1000

// partPause lets in the writers that wait between two parts of a file.
const partPause = 20 * time.Millisecond

// toldEvery so many rows Importing.Told is called.
const toldEvery = 50_000

// fileRun is one file on its way into the store.
type fileRun[T, I any] struct {
	g       *Group
	open    func() (Rows, error)
	how     Importing
	prepare func(ctx context.Context, q querier) (fileImport[T, I], error)
}

// importFile stores the rows of a file. It reads all of them first, while others may write;
// with a fault in any nothing is stored, unless SkipBad says to store the others. They are
// stored in one transaction, or in parts where there are more than can be at once. If a part
// fails, a file that is read a second time leaves nothing behind; of another file the parts
// before stay, and the same file brings the rest.
func importFile[T, I any](ctx context.Context, g *Group, open func() (Rows, error), how Importing,
	prepare func(ctx context.Context, q querier) (fileImport[T, I], error)) (ImportReport, error) {
	run := fileRun[T, I]{g, open, how, prepare}
	var items []*I
	var planned, report ImportReport
	many := false
	in, usable, err := run.read(ctx, &report, func(in fileImport[T, I], item *I, became become) error {
		planned.tally(became)
		switch {
		case item == nil:
			report.tally(became)
		case how.Dry || many || report.Bad > 0 && !how.SkipBad:
		case in.held > 0 && len(items) >= in.held:
			items, many = nil, true
		default:
			items = append(items, item)
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
	return report, run.stored(ctx, in, items, &report)
}

// read reads a file once from its beginning, against the lists as they are now, and hands
// over what its good rows are.
func (run fileRun[T, I]) read(ctx context.Context, report *ImportReport,
	take func(in fileImport[T, I], item *I, became become) error) (in fileImport[T, I], usable bool, err error) {
	err = run.g.store.snapshot(ctx, func(q querier) error {
		in, err = run.prepare(ctx, q)
		return err
	})
	if err != nil {
		return in, false, err
	}
	rows, err := run.open()
	if err != nil {
		return in, false, report.misread(err)
	}
	if closer, is := rows.(io.Closer); is {
		defer func() { err = errors.Join(err, closer.Close()) }()
	}
	usable, err = in.table.readAll(rows, run.how.SkipBad, report, func(one T) error {
		if report.Rows%toldEvery == 0 && run.how.Told != nil {
			run.how.Told(*report)
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		item, became, err := in.plan(one)
		if err != nil {
			return err
		}
		return take(in, item, became)
	})
	return in, usable, err
}

// stored stores items that are held in memory, so many at once.
func (run fileRun[T, I]) stored(ctx context.Context, in fileImport[T, I], items []*I, report *ImportReport) error {
	atOnce := cmp.Or(in.atOnce, namesAtOnce)
	for from := 0; from < len(items); from += atOnce {
		if from > 0 {
			time.Sleep(partPause)
		}
		to := min(from+atOnce, len(items))
		err := run.put(ctx, in, items[from:to], to == len(items), report)
		if err != nil && from > 0 {
			err = fmt.Errorf("the first %d of %d are stored, import the file again for the rest: %w", from,
				len(items), err)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// put stores some items in one transaction.
func (run fileRun[T, I]) put(ctx context.Context, in fileImport[T, I], items []*I, last bool,
	report *ImportReport) error {
	return run.g.store.inTx(ctx, func(q querier) error {
		if in.parts.part != nil {
			if err := in.parts.part(ctx, q, last); err != nil {
				return err
			}
		}
		all, err := in.store(ctx, q, items)
		for _, became := range all {
			report.tally(became)
		}
		return err
	})
}

// streamed reads a second time a file whose rows were found good, or are to be left out, and
// stores them part by part: in the end all or none.
func (run fileRun[T, I]) streamed(ctx context.Context, checked ImportReport) (ImportReport, error) {
	var again, stored ImportReport
	var part, late []*I
	begun := false
	put := func(in fileImport[T, I], last bool) error {
		if begun {
			time.Sleep(partPause)
		}
		err := run.put(ctx, in, part, last, &stored)
		if err == nil {
			begun, part = true, part[:0]
		}
		return err
	}
	in, _, err := run.read(ctx, &again, func(in fileImport[T, I], item *I, became become) error {
		switch {
		case item == nil:
			stored.tally(became)
			return nil
		case in.parts.late(item):
			late = append(late, item)
			return nil
		}
		if part = append(part, item); len(part) < in.atOnce {
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
