package database

import (
	"context"
	"sync"
)

// turns gives the turn to one caller at a time for each number. Callers of different numbers do not wait for each
// other.
type turns struct {
	mu    sync.Mutex
	taken map[int64]*turn
}

type turn struct {
	free    chan struct{} // holds one token while nobody has the turn
	wanting int           // how many have the turn or wait for it
}

// wait returns once the caller has the turn. Call done once, to pass it on. The error is that of ctx.
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

// leave forgets a number that nobody waits for any more.
func (t *turns) leave(number int64, one *turn) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if one.wanting--; one.wanting == 0 {
		delete(t.taken, number)
	}
}
