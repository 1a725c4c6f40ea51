package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"time"

	"holdbench/internal/discord"
	"holdbench/internal/discord/api"
	"holdbench/internal/jobs"
)

// sayUnasked runs the jobs for the bot's servers, from when Discord has listed them until ctx ends.
func (s *servers) sayUnasked(ctx context.Context, log *slog.Logger) error {
	select {
	case <-s.bot.Listed():
	case <-ctx.Done():
		return nil
	}
	s.runner(time.Now, log).Run(ctx)
	return nil
}

// runner makes the runner of the jobs. now is the store's clock, too.
func (s *servers) runner(now func() time.Time, log *slog.Logger) *jobs.Runner {
	return &jobs.Runner{
		Store: s.store, Poster: poster{s.bot}, Now: now, Log: log, Serves: s.bot.Serves, Owner: s.bot.Owner,
	}
}

// poster posts to Discord.
type poster struct{ bot *discord.Bot }

// Post posts, and turns Discord's errors into those of jobs.Poster.
func (p poster) Post(ctx context.Context, post jobs.Post) (id string, err error) {
	u := discord.Unasked{
		Server: post.Community, Channel: post.Channel, Member: post.Member, Card: post.Card, Mentions: post.Mentions,
		Key: post.Key, Edit: post.Edit,
	}
	if post.Attempt > 1 {
		u.Since = post.Begun
	}
	id, err = p.bot.Post(ctx, u)
	refused := errors.Is(err, discord.ErrUnreachable) ||
		errors.Is(err, discord.ErrNotPosted) && api.RefusedAs(err, http.StatusForbidden)
	switch {
	case errors.Is(err, discord.ErrGone):
		return "", fmt.Errorf("%w (%w)", jobs.ErrGone, err)
	case refused && post.Channel != "":
		return "", fmt.Errorf("%w (%w)", jobs.ErrClosed, err)
	case errors.Is(err, discord.ErrUnreachable):
		return "", fmt.Errorf("%w (%w)", jobs.ErrUnreachable, err)
	case errors.Is(err, discord.ErrNotPosted):
		return "", fmt.Errorf("%w (%w)", jobs.ErrNotPosted, err)
	}
	return id, err
}
