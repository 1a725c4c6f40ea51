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

// today is the date in the community's time zone.
func (env *Env) today(ctx context.Context) (time.Time, error) {
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		return time.Time{}, err
	}
	zone, err := time.LoadLocation(settings.Zone)
	if err != nil {
		return time.Time{}, err
	}
	return env.Now().In(zone), nil
}
