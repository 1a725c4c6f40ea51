package commands

import (
	"context"
	"log/slog"
	"time"

	"holdbench/internal/knowledge"
)

// Env is what the commands work with. One Env serves one community, on every
// surface at once.
type Env struct {
	Group *knowledge.Group
	Now   func() time.Time
	Log   *slog.Logger

	Conversations *Conversations // of all communities; nil: nothing is remembered

	// Lacking names the permissions that the surface lacks to post in a channel of the
	// platform's; nil where none is to be had.
	Lacking func(ctx context.Context, channel string) ([]string, error)

	words  wordIndex
	sheets waitingSheets
	usage  usageBook
}

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

// today is the time in the community's zone.
func (env *Env) today(ctx context.Context) (time.Time, error) {
	_, now, err := env.here(ctx)
	return now, err
}
