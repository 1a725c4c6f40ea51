package discord

import (
	"context"
	"errors"
	"slices"
	"sync"
)

// errFull: too much is waiting already.
var errFull = errors.New("too many are waiting")

// workQueue bounds how much is worked on at once and how much may wait, in all and for each community. Communities take
// turns: however long the queue of one is, the next work of another is among the next to begin.
type workQueue struct {
	all, each room

	mu         sync.Mutex
	atHand     int
	waiting    int
	turnedAway int64
	shares     map[string]*share // of the communities with work at hand or waiting
	turns      []string          // the communities with work waiting, the next one first
}

// room is how much may be worked on at once, and how much may wait in addition.
type room struct{ atOnce, waiting int }

// share is what one community has in the queue.
type share struct {
	atHand int
	queue  []chan struct{} // each is closed when its turn has come
}

// newWorkQueue makes a queue with that room in all, and for each community.
func newWorkQueue(all, each room) *workQueue {
	return &workQueue{all: all, each: each, shares: map[string]*share{}}
}

// enter waits for a slot, which leave gives back. The error is errFull, or that of ctx.
func (q *workQueue) enter(ctx context.Context, community string) (leave func(), err error) {
	turn, err := q.queue(community)
	if err != nil {
		return nil, err
	}
	leave = func() { q.leave(community) }
	select {
	case <-turn:
		return leave, nil
	case <-ctx.Done():
	}
	if !q.giveUp(community, turn) {
		leave() // the turn came at the same moment
	}
	return nil, ctx.Err()
}

// queue puts work at the end of its community's queue. The channel is closed when its turn has come.
func (q *workQueue) queue(community string) (turn chan struct{}, err error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	s := q.shares[community]
	if s == nil {
		s = &share{}
		q.shares[community] = s
	}
	if q.atHand+q.waiting >= q.all.atOnce+q.all.waiting || s.atHand+len(s.queue) >= q.each.atOnce+q.each.waiting {
		q.turnedAway++
		q.drop(community)
		return nil, errFull
	}
	turn = make(chan struct{})
	if s.queue = append(s.queue, turn); len(s.queue) == 1 {
		q.turns = append(q.turns, community)
	}
	q.waiting++
	q.begin()
	return turn, nil
}

// begin gives free slots to one community after the other. The caller holds the lock.
func (q *workQueue) begin() {
	for i := 0; i < len(q.turns) && q.atHand < q.all.atOnce; {
		community := q.turns[i]
		s := q.shares[community]
		if s.atHand >= q.each.atOnce {
			i++ // it uses its share already and keeps its place
			continue
		}
		close(s.queue[0])
		s.queue = s.queue[1:]
		s.atHand++
		q.atHand++
		q.waiting--
		q.turns = slices.Delete(q.turns, i, i+1)
		if len(s.queue) > 0 {
			q.turns = append(q.turns, community)
		}
	}
}

func (q *workQueue) leave(community string) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.shares[community].atHand--
	q.atHand--
	q.drop(community)
	q.begin()
}

// giveUp takes work out of the queue; false if its turn has come.
func (q *workQueue) giveUp(community string, turn chan struct{}) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	s := q.shares[community]
	i := slices.Index(s.queue, turn)
	if i < 0 {
		return false
	}
	s.queue = slices.Delete(s.queue, i, i+1)
	q.waiting--
	if len(s.queue) == 0 {
		q.turns = slices.DeleteFunc(q.turns, func(c string) bool { return c == community })
	}
	q.drop(community)
	return true
}

// drop forgets a community without work. The caller holds the lock.
func (q *workQueue) drop(community string) {
	if s := q.shares[community]; s.atHand == 0 && len(s.queue) == 0 {
		delete(q.shares, community)
	}
}
