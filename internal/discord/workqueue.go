package discord

import (
	"context"
	"errors"
	"slices"
	"sync"
)

// errFull says that there is no room even to wait.
var errFull = errors.New("too many are waiting")

// workQueue bounds how much is worked on at once, and how much may wait for it, in all
// and for each community: however long one's queue is, another's next piece of work
// is among the next to be begun.
type workQueue struct {
	all, each room

	mu         sync.Mutex
	atHand     int
	waiting    int
	turnedAway int64
	shares     map[string]*share // of the communities with work at hand or waiting
	turns      []string          // those with work waiting, the next one in front
}

// room is how much is worked on at once, and how much may wait beside it.
type room struct{ atOnce, waiting int }

// share is what one community has in the queue.
type share struct {
	atHand int
	queue  []chan struct{} // closed when the turn has come
}

// newWorkQueue makes a queue that one community may have to itself.
func newWorkQueue(atOnce, waiting int) *workQueue {
	all := room{atOnce, waiting}
	return &workQueue{all: all, each: all, shares: map[string]*share{}}
}

// shared sets how much of the queue one community may have.
func (q *workQueue) shared(atOnce, waiting int) *workQueue {
	q.each = room{atOnce, waiting}
	return q
}

// enter waits for a slot; leave gives it back. errFull if there are too many
// waiting already, of all or of the community.
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
		leave() // the turn came in the same moment
	}
	return nil, ctx.Err()
}

// queue puts work at the end of its community's queue; the channel is closed
// already if there is a slot.
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

// begin gives the free slots away, one community after the other.
func (q *workQueue) begin() {
	for i := 0; i < len(q.turns) && q.atHand < q.all.atOnce; {
		community := q.turns[i]
		s := q.shares[community]
		if s.atHand >= q.each.atOnce {
			i++ // it has its share; its turn stays where it is
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

// giveUp takes work out of the queue; false if it is not in there any more.
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

// drop forgets a community that has nothing in the queue.
func (q *workQueue) drop(community string) {
	if s := q.shares[community]; s.atHand == 0 && len(s.queue) == 0 {
		delete(q.shares, community)
	}
}
