package discord

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
)

func TestTheShardOfAServer(t *testing.T) {
	// 197038439483310086 / 4194304 = 46977624770.9: even, so shard 0 of 2; one
	// step on is odd (by hand).
	for id, want := range map[string]int{"197038439483310086": 0, "197038439487504390": 1, "4194304": 1, "8388608": 0,
		"local": 0, "": 0} {
		if got := shardOf(id, 2); got != want {
			t.Errorf("%s: %d, want %d", id, got, want)
		}
	}
}

func TestTheWorkQueueBoundsWhatRunsAndWhatWaits(t *testing.T) {
	l := newWorkQueue(room{2, 1}, room{2, 1})
	leave1, err1 := l.enter(t.Context(), "a")
	_, err2 := l.enter(t.Context(), "a")
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	var entered atomic.Bool
	done := make(chan struct{})
	go func() {
		defer close(done)
		if _, err := l.enter(t.Context(), "a"); err == nil {
			entered.Store(true)
		}
	}()
	until(t, "one waits", func() bool { return l.state("x").Waiting == 1 })
	if _, err := l.enter(t.Context(), "a"); !errors.Is(err, errFull) {
		t.Errorf("a second one may wait: %v", err)
	}
	if entered.Load() {
		t.Error("a third one runs")
	}
	leave1()
	<-done
	if !entered.Load() {
		t.Error("the one that waited does not run")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := l.enter(ctx, "a"); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

func TestNothingIsInFlightWhenAllIsDone(t *testing.T) {
	f := newInFlight()
	if !f.wait(0) {
		t.Error("something is in flight before anything began")
	}
	f.begin()
	f.begin()
	f.done()
	if f.wait(0) {
		t.Error("nothing is in flight with work in hand")
	}
	none := f.none()
	f.done()
	<-none
	f.begin()
	if f.wait(0) {
		t.Error("what began later is not counted")
	}
}
