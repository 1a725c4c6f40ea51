package jobs

import (
	"context"
	"sync/atomic"
	"testing"
	"time"
)

func TestRunTicksAtOnceAndEndsWithItsContext(t *testing.T) {
	b := newBench(t, monday)
	b.small(t, "local", "UTC", time.Monday, 9)
	ctx, stop := context.WithCancel(t.Context())
	b.platform.fault = func(_ Post, there bool) error {
		if there {
			stop() // the program is asked to end while the post is on its way
		}
		return nil
	}
	if err := b.runner(b.store).Run(ctx); err != nil {
		t.Fatal(err)
	}
	b.platform.fault = nil
	b.tick(t, monday.Add(time.Hour))
	if len(b.platform.calls) != 1 {
		t.Errorf("called %d times: what was posted while ending was not noted", len(b.platform.calls))
	}
}

func TestAPanicCostsOneTickAndNotTheRest(t *testing.T) {
	b := newBench(t, monday)
	b.small(t, "local", "UTC", time.Monday, 9)
	r := b.runner(b.store)
	ctx, stop := context.WithTimeout(t.Context(), 10*time.Second)
	defer stop()
	var ticks atomic.Int32
	r.Serves = func(string) bool {
		if ticks.Add(1) == 3 {
			stop()
		}
		panic("outside of any job")
	}
	if err := r.runOn(ctx, "@every 1s"); err != nil {
		t.Fatal(err)
	}
	if got := ticks.Load(); got < 3 {
		t.Errorf("%d ticks in ten seconds", got)
	}
}

func TestAScheduleThatCannotBeReadIsAnError(t *testing.T) {
	if err := new(Runner).runOn(t.Context(), "sometimes"); err == nil {
		t.Error("no error")
	}
}
