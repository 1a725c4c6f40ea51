package discord

import (
	"context"
	"errors"
	"slices"
	"sync"
)

// errFull says that there is no room even to wait.
var errFull = errors.New("too many are waiting")

// lane bounds how much is worked on at once, and how much may wait for it, in all
// and for each community: however long one's queue is, another's next piece of work
// is among the next to be begun.
type lane struct {
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

// share is what one community has in the lane.
type share struct {
	atHand int
	queue  []chan struct{} // closed when the turn has come
}

// newLane makes a lane that one community may have to itself.
func newLane(atOnce, waiting int) *lane {
	all := room{atOnce, waiting}
	return &lane{all: all, each: all, shares: map[string]*share{}}
}

// shared sets how much of the lane one community may have.
func (l *lane) shared(atOnce, waiting int) *lane {
	l.each = room{atOnce, waiting}
	return l
}

// enter waits for a slot; leave gives it back. errFull if there are too many
// waiting already, of all or of the community.
func (l *lane) enter(ctx context.Context, community string) (leave func(), err error) {
	turn, err := l.queue(community)
	if err != nil {
		return nil, err
	}
	leave = func() { l.leave(community) }
	select {
	case <-turn:
		return leave, nil
	case <-ctx.Done():
	}
	if !l.giveUp(community, turn) {
		leave() // the turn came in the same moment
	}
	return nil, ctx.Err()
}

// queue puts work at the end of its community's queue; the channel is closed
// already if there is a slot.
func (l *lane) queue(community string) (turn chan struct{}, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := l.shares[community]
	if s == nil {
		s = &share{}
		l.shares[community] = s
	}
	if l.atHand+l.waiting >= l.all.atOnce+l.all.waiting || s.atHand+len(s.queue) >= l.each.atOnce+l.each.waiting {
		l.turnedAway++
		l.drop(community)
		return nil, errFull
	}
	turn = make(chan struct{})
	if s.queue = append(s.queue, turn); len(s.queue) == 1 {
		l.turns = append(l.turns, community)
	}
	l.waiting++
	l.begin()
	return turn, nil
}

// begin gives the free slots away, one community after the other.
func (l *lane) begin() {
	for i := 0; i < len(l.turns) && l.atHand < l.all.atOnce; {
		community := l.turns[i]
		s := l.shares[community]
		if s.atHand >= l.each.atOnce {
			i++ // it has its share; its turn stays where it is
			continue
		}
		close(s.queue[0])
		s.queue = s.queue[1:]
		s.atHand++
		l.atHand++
		l.waiting--
		l.turns = slices.Delete(l.turns, i, i+1)
		if len(s.queue) > 0 {
			l.turns = append(l.turns, community)
		}
	}
}

func (l *lane) leave(community string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.shares[community].atHand--
	l.atHand--
	l.drop(community)
	l.begin()
}

// giveUp takes work out of the queue; false if it is not in there any more.
func (l *lane) giveUp(community string, turn chan struct{}) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := l.shares[community]
	i := slices.Index(s.queue, turn)
	if i < 0 {
		return false
	}
	s.queue = slices.Delete(s.queue, i, i+1)
	l.waiting--
	if len(s.queue) == 0 {
		l.turns = slices.DeleteFunc(l.turns, func(c string) bool { return c == community })
	}
	l.drop(community)
	return true
}

// drop forgets a community that has nothing in the lane.
func (l *lane) drop(community string) {
	if s := l.shares[community]; s.atHand == 0 && len(s.queue) == 0 {
		delete(l.shares, community)
	}
}

// hands counts the work in hand, so that the program can end when it is done.
type hands struct {
	mu     sync.Mutex
	full   int
	closed bool
	empty  chan struct{} // closed when the last work is done after close
}

func newHands() *hands { return &hands{empty: make(chan struct{})} }

// take takes work in hand; false if none is taken any more.
func (h *hands) take() bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return false
	}
	h.full++
	return true
}

// put puts it away.
func (h *hands) put() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.full--
	if h.closed && h.full == 0 {
		close(h.empty)
	}
}

// close takes no more work; done is closed when all that is in hand is done.
func (h *hands) close() (done <-chan struct{}) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.closed && h.full == 0 {
		close(h.empty)
	}
	h.closed = true
	return h.empty
}
