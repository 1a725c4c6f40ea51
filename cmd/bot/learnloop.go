package main

import (
	"context"
	"fmt"
	"log/slog"
	"runtime/debug"
	"sync"
	"time"

	"holdbench/internal/jobs"
	"holdbench/internal/knowledge"
)

// When the program looks whether a spread is to be learned: not while it starts,
// then often enough for a day's tests to count the same day. Looking costs next to
// nothing where the log has not changed.
const (
	learnFirst = 30 * time.Second
	learnAgain = 15 * time.Minute
)

// learner brings the estimates of every community of a store up to date, in the
// background, and learns its spread.
type learner struct {
	store        *knowledge.Store
	log          *slog.Logger
	first, again time.Duration
}

// startLearning has spreads learned until stop is called or ctx ends. stop waits
// until nothing uses the store any more, which does not take long.
func startLearning(ctx context.Context, store *knowledge.Store, log *slog.Logger) (stop func()) {
	return newLearner(store, log).start(ctx)
}

func newLearner(store *knowledge.Store, log *slog.Logger) learner {
	return learner{store, log, learnFirst, learnAgain}
}

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
		l.log.ErrorContext(ctx, "large products are not read ahead", "error", err)
	}
	for wait := l.first; jobs.Pause(ctx, wait); wait = l.again {
		l.look(ctx)
	}
}

// look learns what is due. What fails is logged and leaves the others be.
func (l learner) look(ctx context.Context) {
	groups, err := l.store.Groups(ctx)
	if err != nil && ctx.Err() == nil {
		l.log.ErrorContext(ctx, "learning: no communities", "error", err)
	}
	for _, g := range groups {
		o, err := l.learn(ctx, g)
		switch {
		case ctx.Err() != nil:
			return
		case err != nil:
			l.log.ErrorContext(ctx, "spread not learned", "community", g.Ref(), "error", err)
		case o.Changed:
			l.log.InfoContext(ctx, "another spread is in force", "community", g.Ref(), "version", o.InForce.Version,
				"own", o.InForce.Own, "repeats", o.InForce.Learned.Repeats)
		}
	}
}

// learn learns the spread of a community that the program serves. A panic becomes
// an error.
func (l learner) learn(ctx context.Context, g *knowledge.Group) (o knowledge.SpreadOutcome, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	left, err := g.Left(ctx)
	if err != nil || !left.IsZero() {
		return o, err
	}
	if err := g.BringUpToDate(ctx); err != nil { // what a new program computes otherwise, before somebody asks
		return o, err
	}
	return g.LearnSpreads(ctx)
}
