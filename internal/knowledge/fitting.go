package knowledge

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"
)

// patience is how long an answer waits for a new estimate before it uses the previous one.
const patience = 300 * time.Millisecond

// WithPatience changes how long an answer waits for a new estimate.
func WithPatience(d time.Duration) Option { return func(s *Store) { s.fits.patience = d } }

// WithTurn makes every estimate wait until turn returns. Tests hold estimates back with it.
func WithTurn(turn func()) Option { return func(s *Store) { s.fits.turn = turn } }

// fits makes product files in the background, for each product one at a time. The work
// goes on if whoever asked has gone.
type fits struct {
	patience time.Duration
	turn     func() // waits until an estimate may begin
	end      context.CancelFunc
	ctx      context.Context
	running  sync.WaitGroup

	long chan struct{} // a slot for each long estimate that may run at the same time

	mu   sync.Mutex
	busy map[int64]*fitting // by product: what is being made
	slow map[int64]bool     // products whose latest estimate took longer than patience
}

// From longFrom tests on an estimate is long: it takes about a tenth of a second (docs/measured.md). One processor is
// kept free of long estimates. After each, its slot rests for restAfterLong times as long as it took. Without that,
// answers would wait behind estimates when many members log into large products. Tests logged meanwhile are all in
// the product's next estimate.
const (
	longFrom      = 1000
	restAfterLong = 3
)

// fitting is one product file in the making.
type fitting struct {
	begun time.Time     // when it was first wanted
	read  chan struct{} // closed once the tests have been read
	over  chan struct{} // closed at the end

	stands   versions                    // of the tests read
	previous atomic.Pointer[productFile] // the latest tests with the previous estimate; nil for none
	reading  sync.Mutex                  // held by the one caller that reads newer tests for the previous estimate
	long     bool                        // the estimate is a long one
	late     bool                        // nobody waits for it: the last one outlasted patience, or no slot was free

	file *productFile // the result
	err  error

	next time.Time // when a newer file was first wanted; zero for none
}

func newFits() *fits {
	f := &fits{patience: patience, turn: func() {}, busy: map[int64]*fitting{}, slow: map[int64]bool{},
		long: make(chan struct{}, max(1, runtime.GOMAXPROCS(0)-1))}
	f.ctx, f.end = context.WithCancel(context.Background())
	return f
}

// close cancels what is being made and waits until it has ended.
func (f *fits) close() {
	f.mu.Lock()
	f.end()
	f.mu.Unlock()
	f.running.Wait()
}

// want returns the fitting under way for a product, or starts one.
func (f *fits) want(g *Group, product int64, v versions) *fitting {
	f.mu.Lock()
	defer f.mu.Unlock()
	if one := f.busy[product]; one != nil {
		if one.next.IsZero() && one.isRead() && !one.stands.isAtLeast(v) {
			one.next = time.Now()
		}
		return one
	}
	one := newFitting(time.Now())
	if one.err = f.ctx.Err(); one.err != nil {
		close(one.read)
		close(one.over)
		return one
	}
	one.late = f.slow[product]
	f.busy[product] = one
	f.running.Go(func() { f.keepUp(g, product, one) })
	return one
}

func newFitting(begun time.Time) *fitting {
	return &fitting{begun: begun, read: make(chan struct{}), over: make(chan struct{})}
}

// keepUp makes the file, and makes it again for as long as somebody has asked for a newer one meanwhile.
func (f *fits) keepUp(g *Group, product int64, one *fitting) {
	for one != nil {
		file, err := f.makeOne(g, product, one)
		f.mu.Lock()
		one.file, one.err = file, err
		if !one.isRead() {
			close(one.read)
		}
		close(one.over)
		if one.next.IsZero() || err != nil {
			one = nil
			delete(f.busy, product)
		} else {
			one = newFitting(one.next)
			one.late = f.slow[product]
			f.busy[product] = one
		}
		f.mu.Unlock()
	}
}

func (f *fits) makeOne(g *Group, product int64, one *fitting) (file *productFile, err error) {
	err = guarded(func() (err error) {
		var previous *productFile
		if file, previous, err = g.readProductFile(f.ctx, product, nil); err != nil {
			return err
		}
		long := file.estimate == nil && file.tests() >= longFrom
		hasSlot := long && f.takeSlot()
		f.mu.Lock()
		one.stands, one.long = file.versions(), long
		one.late = one.late || long && !hasSlot
		one.previous.Store(previous)
		close(one.read)
		f.mu.Unlock()
		if file.estimate != nil {
			return nil
		}
		return f.makeEstimate(g, product, file, long && !hasSlot)
	})
	if err == nil {
		g.store.files.Put(product, file)
	}
	return file, err
}

// takeSlot takes a slot for a long estimate if one is free.
func (f *fits) takeSlot() bool {
	select {
	case f.long <- struct{}{}:
		return true
	default:
		return false
	}
}

// makeEstimate makes the estimate of a file. A long one without a slot waits for one first.
func (f *fits) makeEstimate(g *Group, product int64, file *productFile, needsSlot bool) error {
	if needsSlot {
		select {
		case f.long <- struct{}{}:
		case <-f.ctx.Done():
			return f.ctx.Err()
		}
	}
	f.turn()
	begun := time.Now()
	if file.tests() >= longFrom {
		defer func() { time.AfterFunc(restAfterLong*time.Since(begun), func() { <-f.long }) }()
	}
	err := g.estimateNow(f.ctx, product, file)
	f.mu.Lock()
	defer f.mu.Unlock()
	if delete(f.slow, product); time.Since(begun) > f.patience {
		f.slow[product] = true
	}
	return err
}

// isRead needs the lock.
func (one *fitting) isRead() bool {
	select {
	case <-one.read:
		return true
	default:
		return false
	}
}

// guarded turns a panic into an error: in a goroutine no caller could recover it.
func guarded(do func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	return do()
}

// haste says what a caller does if the new estimate is not there within the store's
// patience and there is a previous one.
type haste int

const (
	wait     haste = iota // wait for the new one
	goBy                  // use the previous one
	goByLong              // use the previous one; at once if the new one is a long one
	leaveIt               // use none: the file is nil
)

// productFileAt returns what is known of a product at the versions wanted, or later ones:
// from memory, from the store, or made now.
func (g *Group) productFileAt(ctx context.Context, product int64, want versions, h haste) (*productFile, error) {
	for {
		if file, ok := g.store.files.Get(product); ok && file.versions().isAtLeast(want) {
			return file, nil
		}
		one := g.store.fits.want(g, product, want)
		over, err := one.wait(ctx, h, g.store.fits.patience)
		switch {
		case err != nil:
			return nil, err
		case !over && h == leaveIt:
			return nil, nil
		case !over:
			return g.previousFile(ctx, product, one, want)
		case one.err != nil:
			return nil, one.err
		case one.file.versions().isAtLeast(want):
			return one.file, nil
		}
	}
}

// wait waits for the end; in haste, and with a previous estimate, no longer than patience.
func (one *fitting) wait(ctx context.Context, h haste, patience time.Duration) (over bool, err error) {
	select {
	case <-one.read:
	case <-ctx.Done():
		return false, ctx.Err()
	}
	var late <-chan time.Time
	if h != wait && one.previous.Load() != nil {
		if one.late || one.long && h == goByLong {
			patience = 0
		}
		late = time.After(time.Until(one.begun.Add(patience)))
	}
	select {
	case <-one.over:
		return true, nil
	case <-ctx.Done():
		return false, ctx.Err()
	case <-late:
		return false, nil
	}
}

// previousFile returns the tests as wanted with the previous estimate. If another program
// has replaced that estimate by now, it waits for the new one.
func (g *Group) previousFile(ctx context.Context, product int64, one *fitting, want versions) (*productFile, error) {
	file, err := g.readPrevious(ctx, product, one, want)
	if file == nil && err == nil {
		return g.productFile(ctx, product, wait)
	}
	return file, err
}

// readPrevious returns the tests as wanted with the previous estimate, or with their own if
// that is there by now; nil if neither is. Of several callers one reads, for all of them.
func (g *Group) readPrevious(ctx context.Context, product int64, one *fitting, want versions) (*productFile, error) {
	one.reading.Lock()
	defer one.reading.Unlock()
	previous := one.previous.Load()
	if previous.versions().isAtLeast(want) {
		return previous, nil
	}
	file, latest, err := g.readProductFile(ctx, product, previous)
	if err != nil || file.estimate != nil {
		return file, err
	}
	if latest != nil {
		one.previous.Store(latest)
	}
	return latest, nil
}
