package jobs

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/fault"
	"holdbench/internal/knowledge"
)

// Runner runs the jobs for all communities of a store. Several Runners may share a store, in one program or many: each
// claims a post in the store before it goes out.
type Runner struct {
	Store  *knowledge.Store
	Poster Poster
	Now    func() time.Time // the store's clock
	Log    *slog.Logger
	Serves func(ref string) bool   // whether the Poster can reach a community; nil for all
	Owner  func(ref string) string // the platform's id of a community's owner, who counts as a trainer; nil for nobody

	Nightly *Nightly // the backup of the whole store; nil for none

	wait   func(context.Context, time.Duration) bool // until the next tick; nil for a timer
	warned string                                    // the times ahead of the clock that were last logged
}

// completeWithin is how long it may take to note in the store that something was posted, even while the program ends.
const completeWithin = 5 * time.Second

// Tick does what is due now. A failure is logged, stops nothing else and is tried again at a later tick. Posts come
// before the backup, since that of a large store takes a while.
func (r *Runner) Tick(ctx context.Context) {
	r.warnOfTimesAhead(ctx)
	r.tickGroups(ctx)
	r.night(ctx)
	if err := r.Store.EndImports(ctx); err != nil && ctx.Err() == nil {
		r.Log.ErrorContext(ctx, "a file that did not come in whole is not taken away; tried again", "error", err)
	}
	if done, err := r.Store.ClearTraces(ctx); !done && ctx.Err() == nil {
		r.Log.WarnContext(ctx, "what was erased is still readable beside the store: a reader prevents it; tried again",
			"error", err)
	}
}

// warnOfTimesAhead logs, once, the times in the store that are still to come. What is due is done all the same.
func (r *Runner) warnOfTimesAhead(ctx context.Context) {
	ahead, err := r.Store.TimesAhead(ctx)
	if err != nil {
		return // whatever is due now fails for the same reason and logs it
	}
	words := fmt.Sprint(ahead)
	if len(ahead) > 0 && words != r.warned {
		r.Log.WarnContext(ctx, "the clock was put back, or is wrong", "noted", words)
	}
	r.warned = words
}

func (r *Runner) tickGroups(ctx context.Context) {
	groups, err := r.Store.Groups(ctx)
	if err != nil {
		r.Log.ErrorContext(ctx, "jobs: the communities cannot be read", "error", err)
		return
	}
	for _, g := range groups {
		if ctx.Err() != nil {
			return
		}
		if r.Serves != nil && !r.Serves(g.Ref()) {
			continue
		}
		r.tickGroup(ctx, g)
	}
}

func (r *Runner) tickGroup(ctx context.Context, g *knowledge.Group) {
	left, err := g.Left(ctx)
	if err != nil {
		r.Log.ErrorContext(ctx, "jobs: a community cannot be read", "community", g.Ref(), "error", err)
	}
	if err != nil || !left.IsZero() {
		return
	}
	for _, job := range All() {
		r.report(ctx, g, job.Name, r.Do(ctx, g, job))
	}
	r.report(ctx, g, "wall chart", r.keepWallChart(ctx, g))
}

// report logs a job's error, unless the program is ending: then the job is done at the next start.
func (r *Runner) report(ctx context.Context, g *knowledge.Group, job string, err error) {
	if err != nil && ctx.Err() == nil {
		pairs := []any{"reference", commands.NewReference(), "community", g.Ref(), "job", job}
		r.Log.ErrorContext(ctx, "job failed", append(pairs, fault.Pairs(err)...)...)
	}
}

// Do runs one job for one community, if it is due. A panic becomes an error.
func (r *Runner) Do(ctx context.Context, g *knowledge.Group, job *Job) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fault.Panicked(p)
		}
		if err != nil {
			err = fmt.Errorf("%s: %w", job.Name, err)
		}
	}()
	m, err := at(ctx, g, r.Now())
	if err != nil {
		return err
	}
	if job.tidy != nil {
		if err := job.tidy(ctx, g, m); err != nil {
			return err
		}
	}
	if !job.due(m) {
		return nil
	}
	drafts, err := job.find(ctx, g, m)
	if err != nil {
		return err
	}
	var faults []error
	for _, d := range drafts {
		faults = append(faults, r.say(ctx, g, d))
	}
	return errors.Join(faults...)
}

// say claims a draft, posts it and notes in the store that it was posted.
func (r *Runner) say(ctx context.Context, g *knowledge.Group, d draft) error {
	notices, mine, err := claim(ctx, g, d)
	if err != nil || len(notices) == 0 {
		return err
	}
	p, err := d.write(ctx, mine)
	if err != nil {
		return errors.Join(err, each(ctx, notices, g.ReleaseNotice))
	}
	if p.Card.Title == "" {
		return finish(ctx, g, notices, "")
	}
	p.Community, p.Key, p.Begun = g.Ref(), notices[0].Nonce, notices[0].Begun
	for _, n := range notices {
		p.Attempt = max(p.Attempt, n.Attempt)
	}
	id, err := r.Poster.Post(ctx, p)
	switch {
	case err == nil:
		return finish(ctx, g, notices, id)
	case errors.Is(err, ErrUnreachable), d.once && errors.Is(err, ErrClosed):
		r.Log.InfoContext(ctx, "a post can never be delivered", "community", g.Ref(), "notice", string(d.kind), "error",
			err)
		return finish(ctx, g, notices, "")
	case errors.Is(err, ErrClosed): // tried again while it is due: somebody may open the channel
		return errors.Join(each(ctx, notices, g.ReleaseNotice), r.tellTrainers(ctx, g, p.Channel, err))
	case errors.Is(err, ErrNotPosted):
		return errors.Join(err, each(ctx, notices, g.ReleaseNotice))
	}
	return err
}

// claim claims those of a draft's keys that nobody else has claimed.
func claim(ctx context.Context, g *knowledge.Group, d draft) (notices []knowledge.Notice, mine map[string]bool,
	err error) {
	mine = map[string]bool{}
	for _, key := range d.keys {
		n, won, err := g.ClaimNotice(ctx, d.kind, key)
		if err != nil {
			return nil, nil, errors.Join(err, each(ctx, notices, g.ReleaseNotice))
		}
		if won {
			notices, mine[key] = append(notices, n), true
		}
	}
	return notices, mine, nil
}

// finish completes notices, even while the program ends: what was posted must not be posted again.
func finish(ctx context.Context, g *knowledge.Group, notices []knowledge.Notice, id string) error {
	ctx, stop := context.WithTimeout(context.WithoutCancel(ctx), completeWithin)
	defer stop()
	return each(ctx, notices, func(ctx context.Context, n knowledge.Notice) error {
		return g.CompleteNotice(ctx, n, id)
	})
}

func each[T any](ctx context.Context, all []T, do func(context.Context, T) error) error {
	var faults []error
	for _, one := range all {
		faults = append(faults, do(ctx, one))
	}
	return errors.Join(faults...)
}
