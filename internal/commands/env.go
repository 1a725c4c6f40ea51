package commands

import (
	"context"
	"log/slog"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
)

// Env is what the commands work with. One Env serves one community on all surfaces.
type Env struct {
	Group *knowledge.Group
	Now   func() time.Time
	Log   *slog.Logger

	Conversations *Conversations // of all communities; with nil nothing is remembered

	// Lacking names the permissions that the surface lacks to post in a channel; nil where there are no permissions.
	Lacking func(ctx context.Context, channel string) ([]string, error)

	words  wordIndex
	sheets waitingSheets
	usage  usageBook
}

// view is the group when a request is read. It is read once, so that all of an answer has the same settings, day and
// lists.
type view struct {
	settings knowledge.Settings
	now      time.Time // in the group's zone
	lists    *knowledge.Vocabulary
	index    *question.Index // of the words on the lists
}

// view reads the group; without one the view is empty.
func (env *Env) view(ctx context.Context) (v view, err error) {
	if env.Group == nil {
		return v, nil
	}
	if v.settings, v.now, err = env.here(ctx); err == nil {
		v.lists, v.index, err = env.reader(ctx)
	}
	return v, err
}

// today is the day where the group is, as 2006-01-02.
func (v view) today() string { return v.now.Format(dateForm) }

// here is the community's settings, and the time in its zone.
func (env *Env) here(ctx context.Context) (s knowledge.Settings, now time.Time, err error) {
	if s, err = env.Group.Settings(ctx); err != nil {
		return s, now, err
	}
	zone, err := time.LoadLocation(s.Zone)
	if err != nil {
		return s, now, err
	}
	return s, env.Now().In(zone), nil
}
