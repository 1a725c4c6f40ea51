package jobs

import (
	"context"
	"time"

	"github.com/robfig/cron/v3"

	"holdbench/internal/fault"
)

// The Runner looks every five minutes: so late a post may come after its hour. Whose
// hour it is is worked out per community, so that changes of the clocks cannot make the
// schedule skip or repeat one.
const (
	looks = "*/5 * * * *"
	every = 5 * time.Minute // the longest between two looks
)

// Run ticks at once, for what was missed, and then every five minutes, until ctx
// ends and what is in hand is done.
func (r *Runner) Run(ctx context.Context) {
	wait := r.wait
	if wait == nil {
		wait = Pause
	}
	for again := true; again; again = wait(ctx, untilNext(r.Now())) {
		r.tickSafely(ctx)
	}
}

// untilNext is how long it is to the next look by the schedule. It is never longer than
// that, whatever the clock said before: cron's own loop waits for the time of day that it
// worked out last, which is far away once the clock was put back.
func untilNext(now time.Time) time.Duration {
	schedule, err := cron.ParseStandard(looks)
	if err != nil {
		return every // the words are the program's own
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

// tickSafely ticks; a panic costs what is left of one tick.
func (r *Runner) tickSafely(ctx context.Context) {
	defer func() {
		if p := recover(); p != nil {
			r.Log.ErrorContext(ctx, "jobs: a look at what is due ended on the way",
				fault.Pairs(fault.Panicked(p))...)
		}
	}()
	r.Tick(ctx)
}
