package main

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"holdbench/internal/fault"
	"holdbench/internal/jobs"
	"holdbench/internal/knowledge"
)

// When the learner looks for spreads to learn: first once the program has started, then often enough for a day's tests
// to count the same day. A look costs next to nothing while the log is unchanged.
const (
	learnFirst = 30 * time.Second
	learnAgain = 15 * time.Minute
)

// learner works in the background: for each community of a store it brings the estimates up to date and learns the
// spread.
type learner struct {
	store        *knowledge.Store
	log          *slog.Logger
	first, again time.Duration
}

func newLearner(store *knowledge.Store, log *slog.Logger) learner {
	return learner{store, log, learnFirst, learnAgain}
}

// start runs the learner beside the caller. stop ends it and waits until it no longer uses the store, which does not
// take long.
func (l learner) start(ctx context.Context) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	var running sync.WaitGroup
	running.Go(func() { l.run(ctx) })
	return func() {
		cancel()
		running.Wait()
	}
}

// run learns until ctx ends.
func (l learner) run(ctx context.Context) {
	if err := l.store.ReadLarge(ctx); err != nil && ctx.Err() == nil {
		l.log.ErrorContext(ctx, "the largest products could not be read ahead", "error", err)
	}
	for wait := l.first; jobs.Pause(ctx, wait); wait = l.again {
		l.look(ctx)
	}
}

// look learns each community's spread where that is due. A failure is logged and stops none of the others.
func (l learner) look(ctx context.Context) {
	groups, err := l.store.Groups(ctx)
	if err != nil && ctx.Err() == nil {
		l.log.ErrorContext(ctx, "learning: the communities cannot be read", "error", err)
	}
	for _, g := range groups {
		o, err := l.learn(ctx, g)
		switch {
		case ctx.Err() != nil:
			return
		case err != nil:
			l.log.ErrorContext(ctx, "spread not learned", append([]any{"community", g.Ref()}, fault.Pairs(err)...)...)
		case o.Changed:
			l.log.InfoContext(ctx, "a new spread is in force", "community", g.Ref(), "version", o.InForce.Version,
				"own", o.InForce.Own, "repeats", o.InForce.Learned.Repeats)
		}
	}
}

// learn learns the spread of a community whose server has not been left. A panic becomes an error.
func (l learner) learn(ctx context.Context, g *knowledge.Group) (o knowledge.SpreadOutcome, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fault.Panicked(p)
		}
	}()
	left, err := g.Left(ctx)
	if err != nil || !left.IsZero() {
		return o, err
	}
	if err := g.BringUpToDate(ctx); err != nil { // a new program may compute estimates differently
		return o, err
	}
	return g.LearnSpreads(ctx)
}
