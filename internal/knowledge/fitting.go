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

// patience is how long an answer waits for an estimate that is being made anew, before
// it goes by the one before.
const patience = 300 * time.Millisecond

// WithPatience changes how long an answer waits for an estimate that is being made anew.
func WithPatience(d time.Duration) Option { return func(s *Store) { s.fits.patience = d } }

// WithTurn has every estimate that is made begin when turn returns. Tests hold estimates back with it.
func WithTurn(turn func()) Option { return func(s *Store) { s.fits.turn = turn } }

// fits are the products whose files are being made, each in one place at a time, in the
// background: it goes on when whoever asked has gone.
type fits struct {
	patience time.Duration
	turn     func() // waits until an estimate may begin
	end      context.CancelFunc
	ctx      context.Context
	running  sync.WaitGroup

	long chan struct{} // a place for each long estimate that is made at the same time

	mu    sync.Mutex
	under map[int64]*fitting
	slow  map[int64]bool // products whose latest estimate took longer than patience
}

// longFrom is how many tests make an estimate long, a tenth of a second or so (docs/measured.md). One processor is
// kept free of long ones, and the others for restAfterLong times as long as each took, or answers would wait behind
// them where many log into large products. A product's tests that come meanwhile are all in its next estimate.
const (
	longFrom      = 1000
	restAfterLong = 3
)

// fitting is the file of one product being made.
type fitting struct {
	begun time.Time     // since when it is wanted
	read  chan struct{} // closed once the tests have been read
	over  chan struct{} // closed at the end

	stands versions                    // of the tests read
	before atomic.Pointer[productFile] // the latest tests with the estimate before; nil where there is none
	turn   sync.Mutex                  // of who reads newer tests for the estimate before: the others go by what was read
	long   bool                        // it takes a place among the long ones
	late   bool                        // the one before took longer than anybody waits, or no place was free

	file *productFile // at the end
	err  error

	next time.Time // since when a newer one is wanted; zero for no
}

func newFits() *fits {
	f := &fits{patience: patience, turn: func() {}, under: map[int64]*fitting{}, slow: map[int64]bool{},
		long: make(chan struct{}, max(1, runtime.GOMAXPROCS(0)-1))}
	f.ctx, f.end = context.WithCancel(context.Background())
	return f
}

// close ends what is under way and waits for it.
func (f *fits) close() {
	f.mu.Lock()
	f.end()
	f.mu.Unlock()
	f.running.Wait()
}

// want returns the making of a product's file that is under way, or begins it.
func (f *fits) want(g *Group, product int64, v versions) *fitting {
	f.mu.Lock()
	defer f.mu.Unlock()
	if one := f.under[product]; one != nil {
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
	f.under[product] = one
	f.running.Go(func() { f.keepUp(g, product, one) })
	return one
}

func newFitting(begun time.Time) *fitting {
	return &fitting{begun: begun, read: make(chan struct{}), over: make(chan struct{})}
}

// keepUp makes the file, and again as long as somebody has wanted a newer one meanwhile.
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
			delete(f.under, product)
		} else {
			one = newFitting(one.next)
			one.late = f.slow[product]
			f.under[product] = one
		}
		f.mu.Unlock()
	}
}

func (f *fits) makeOne(g *Group, product int64, one *fitting) (file *productFile, err error) {
	err = guarded(func() (err error) {
		var before *productFile
		if file, before, err = g.readProductFile(f.ctx, product, nil); err != nil {
			return err
		}
		long := file.estimate == nil && file.tests() >= longFrom
		placed := long && f.takePlace()
		f.mu.Lock()
		one.stands, one.long = file.versions(), long
		one.late = one.late || long && !placed
		one.before.Store(before)
		close(one.read)
		f.mu.Unlock()
		if file.estimate != nil {
			return nil
		}
		return f.makeEstimate(g, product, file, long && !placed)
	})
	if err == nil {
		g.store.files.Put(product, file)
	}
	return file, err
}

// takePlace takes a place for a long estimate if one is free.
func (f *fits) takePlace() bool {
	select {
	case f.long <- struct{}{}:
		return true
	default:
		return false
	}
}

// makeEstimate makes the estimate of a file, a long one that has no place yet once there is one for it.
func (f *fits) makeEstimate(g *Group, product int64, file *productFile, wantsPlace bool) error {
	if wantsPlace {
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

// guarded makes a panic an error: in a goroutine of one's own nobody above could catch it.
func guarded(do func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	return do()
}

// haste says what is done about an estimate that has been wanted for longer than the
// store's patience and is not there, while there is one before it.
type haste int

const (
	wait     haste = iota // wait for it
	goBy                  // go by the one before
	goByLong              // the same, at once where the estimate is a long one
	leaveIt               // do without: the file is nil
)

// productFileAt returns what is known of a product at the versions wanted or later: from
// memory, from the store, or made now.
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
			return g.goBy(ctx, product, one, want)
		case one.err != nil:
			return nil, one.err
		case one.file.versions().isAtLeast(want):
			return one.file, nil
		}
	}
}

// wait waits for the end, or in haste for as long as patience lasts if there is an
// estimate before.
func (one *fitting) wait(ctx context.Context, h haste, patience time.Duration) (over bool, err error) {
	select {
	case <-one.read:
	case <-ctx.Done():
		return false, ctx.Err()
	}
	var late <-chan time.Time
	if h != wait && one.before.Load() != nil {
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

// goBy returns the tests as wanted with the estimate before.
func (g *Group) goBy(ctx context.Context, product int64, one *fitting, want versions) (*productFile, error) {
	file, err := g.readBefore(ctx, product, one, want)
	if file == nil && err == nil { // the estimate before is another program's by now
		return g.productFile(ctx, product, wait)
	}
	return file, err
}

// readBefore returns the tests as wanted with the estimate before, or with their own if it is made by now; nil if
// there is neither. Of those who ask at once one reads, for all of them.
func (g *Group) readBefore(ctx context.Context, product int64, one *fitting, want versions) (*productFile, error) {
	one.turn.Lock()
	defer one.turn.Unlock()
	before := one.before.Load()
	if before.versions().isAtLeast(want) {
		return before, nil
	}
	file, latest, err := g.readProductFile(ctx, product, before)
	if err != nil || file.estimate != nil {
		return file, err
	}
	if latest != nil {
		one.before.Store(latest)
	}
	return latest, nil
}
