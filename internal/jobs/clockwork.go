package jobs

import (
	"context"
	"log/slog"
	"time"

	"github.com/robfig/cron/v3"
)

// everyFew is when the Runner looks: how late a post may come after its hour.
// Whose hour it is is worked out per community, so that changes of the clocks
// cannot make the schedule skip or repeat one.
const everyFew = "*/5 * * * *"

// Run ticks at once, for what was missed, and then every five minutes, until ctx
// ends and what is in hand is done.
func (r *Runner) Run(ctx context.Context) error { return r.runOn(ctx, everyFew) }

func (r *Runner) runOn(ctx context.Context, schedule string) error {
	// Recover stays inside: outside, the turn would never be given back after a
	// panic, and the job be skipped for ever (seen with cron 3.0.1).
	log := cronLog{r.Log}
	c := cron.New(cron.WithLocation(time.UTC), cron.WithLogger(log),
		cron.WithChain(cron.SkipIfStillRunning(log), cron.Recover(log)))
	id, err := c.AddFunc(schedule, func() { r.Tick(ctx) })
	if err != nil {
		return err
	}
	c.Start()
	c.Entry(id).WrappedJob.Run()
	<-ctx.Done()
	<-c.Stop().Done()
	return nil
}

// cronLog writes what cron tells into the program's log.
type cronLog struct{ log *slog.Logger }

func (l cronLog) Info(text string, pairs ...any) { l.log.Debug("cron: "+text, pairs...) }

func (l cronLog) Error(err error, text string, pairs ...any) {
	l.log.Error("cron: "+text, append(pairs, "error", err)...)
}
