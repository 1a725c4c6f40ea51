package database

import (
	"context"
	"sync"
)

// turns gives one caller per number the turn at a time; the others wait. Numbers
// do not wait for each other.
type turns struct {
	mu    sync.Mutex
	taken map[int64]*turn
}

type turn struct {
	free    chan struct{} // holds one token while nobody has the turn
	wanting int           // who has it or waits for it
}

// wait returns once the caller has the turn; done gives it on, and must be called
// once. The error is the context's.
func (t *turns) wait(ctx context.Context, number int64) (done func(), err error) {
	t.mu.Lock()
	one := t.taken[number]
	if one == nil {
		one = &turn{free: make(chan struct{}, 1)}
		one.free <- struct{}{}
		if t.taken == nil {
			t.taken = map[int64]*turn{}
		}
		t.taken[number] = one
	}
	one.wanting++
	t.mu.Unlock()
	select {
	case <-one.free:
		return func() { one.free <- struct{}{}; t.leave(number, one) }, nil
	case <-ctx.Done():
		t.leave(number, one)
		return nil, ctx.Err()
	}
}

// leave forgets a number that nobody wants any more.
func (t *turns) leave(number int64, one *turn) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if one.wanting--; one.wanting == 0 {
		delete(t.taken, number)
	}
}
