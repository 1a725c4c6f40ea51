package jobs

import (
	"context"
	"time"

	"github.com/robfig/cron/v3"

	"holdbench/internal/fault"
)

// The Runner ticks every five minutes, so a post may come five minutes after its hour. Each community's hour is worked
// out at the tick, so that a change of the clocks cannot make the schedule skip or repeat one.
const (
	tickSchedule = "*/5 * * * *"
	tickInterval = 5 * time.Minute
)

// Run ticks at once, for what was missed, and then every five minutes. It returns when ctx has ended and the tick under
// way is done.
func (r *Runner) Run(ctx context.Context) {
	wait := r.wait
	if wait == nil {
		wait = Pause
	}
	for again := true; again; again = wait(ctx, untilNext(r.Now())) {
		r.tickSafely(ctx)
	}
}

// untilNext is the time from now to the next tick, however the clock was set before. cron's own loop would wait for the
// time of day that it computed last, which is far away once the clock is put back.
func untilNext(now time.Time) time.Duration {
	schedule, err := cron.ParseStandard(tickSchedule)
	if err != nil {
		return tickInterval // cannot happen: the schedule is a constant
	}
	return schedule.Next(now).Sub(now)
}

// Pause waits, and reports false if ctx ended first.
func Pause(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}

// tickSafely ticks, and logs a panic, which ends that tick alone.
func (r *Runner) tickSafely(ctx context.Context) {
	defer func() {
		if p := recover(); p != nil {
			r.Log.ErrorContext(ctx, "jobs: a tick ended in a panic", fault.Pairs(fault.Panicked(p))...)
		}
	}()
	r.Tick(ctx)
}
