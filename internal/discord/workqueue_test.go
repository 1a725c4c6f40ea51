package discord

import (
	"errors"
	"fmt"
	"testing"
	"time"
)

// queued puts work in the queue and says in which order it is begun.
func queued(t *testing.T, l *workQueue, begun chan string, community, name string) {
	t.Helper()
	before := l.state("").Waiting
	go func() {
		leave, err := l.enter(t.Context(), community)
		if err != nil {
			begun <- err.Error()
			return
		}
		begun <- name
		leave()
	}()
	until(t, "it waits", func() bool { return l.state("").Waiting == before+1 })
}

func TestALongQueueOfOneCommunityIsNotInAnothersWay(t *testing.T) {
	l := newWorkQueue(room{1, 100}, room{1, 100})
	leave, err := l.enter(t.Context(), "a")
	if err != nil {
		t.Fatal(err)
	}
	begun := make(chan string, 100)
	for i := range 20 {
		queued(t, l, begun, "a", fmt.Sprint("a", i))
	}
	queued(t, l, begun, "b", "b0")
	queued(t, l, begun, "c", "c0")
	queued(t, l, begun, "b", "b1")
	leave()
	want := []string{"a0", "b0", "c0", "a1", "b1", "a2", "a3"}
	for i, name := range want {
		if got := <-begun; got != name {
			t.Errorf("number %d is %s, want %s", i, got, name)
		}
	}
	until(t, "the queue is empty, and nothing is kept of it", func() bool {
		l.mu.Lock()
		defer l.mu.Unlock()
		return len(begun) == 23-len(want) && len(l.shares)+len(l.turns) == 0
	})
}

func TestACommunityHasNoMoreThanItsShareOfALane(t *testing.T) {
	l := newWorkQueue(room{4, 8}, room{2, 2})
	for range 2 {
		if _, err := l.enter(t.Context(), "a"); err != nil {
			t.Fatal(err)
		}
	}
	begun := make(chan string, 10)
	queued(t, l, begun, "a", "a2")
	queued(t, l, begun, "a", "a3")
	if _, err := l.enter(t.Context(), "a"); !errors.Is(err, errFull) {
		t.Errorf("a fifth: %v", err)
	}
	for range 2 {
		if _, err := l.enter(t.Context(), "b"); err != nil { // at once, though two of a wait
			t.Fatal(err)
		}
	}
	time.Sleep(20 * time.Millisecond)
	if len(begun) != 0 {
		t.Errorf("begun: %s", <-begun)
	}
}
