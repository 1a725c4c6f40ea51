package discord

import (
	"context"
	"errors"
	"time"

	"holdbench/internal/discord/api"
)

// promise shows that an answer will come.
func (t *turn) promise(ctx context.Context) {
	if t.promised || t.done {
		return
	}
	c := callback{Type: answerLater}
	switch {
	case t.showing == inPlace:
		c.Type = updateLater
	case t.hidden():
		c.Data = deferral{Flags: flagHidden}
	}
	// What goes wrong is in the log; the answer itself is tried all the same.
	t.promised = true
	_ = t.first(ctx, c, nil)
}

// give gives the answer itself: in place of the promise if there was one.
func (t *turn) give(ctx context.Context, m message) {
	defer func() { t.bot.observe(t.command, t.became(m), t.heard) }()
	if t.lost {
		return
	}
	if m.weight() > heavy {
		t.promise(ctx) // an upload may take longer than Discord waits
	}
	if t.promised {
		ctx, stop := context.WithTimeout(ctx, editLimit)
		defer stop()
		t.done = true
		m.Flags = 0 // who sees it was settled by the first answer
		if err := t.bot.replies.Edit(ctx, t.ix.app, t.ix.token, m, parts(m.files)); err != nil {
			t.failed = true
			t.bot.log.ErrorContext(ctx, "an answer did not get through", "command", t.command, "community", t.home, "interaction", t.ix.id, "error", t.bot.loggable(err))
		}
		return
	}
	if err := t.show(ctx, m); api.Refused(err, api.BadForm) {
		// Discord does not take the message: an apology is better than silence.
		t.failed = true
		_ = t.show(ctx, t.broken(ctx, err))
	}
}

// became is what became of the answer that was to be given.
func (t *turn) became(m message) Outcome {
	switch {
	case t.lost || !t.promised && !t.done && time.Since(t.heard) >= lastMoment:
		return Late
	case t.failed || !t.done:
		return Failed
	}
	return m.outcome
}

// show gives a message as the first answer.
func (t *turn) show(ctx context.Context, m message) error {
	c := callback{Type: answerNow}
	if t.showing == inPlace {
		c.Type, m.Flags = updateNow, 0
	}
	c.Data = m
	return t.first(ctx, c, m.files)
}

// first sends the first answer, in the time that is left for it.
func (t *turn) first(ctx context.Context, c callback, files []file) error {
	ctx, stop := context.WithDeadline(ctx, t.heard.Add(lastMoment))
	defer stop()
	err := t.bot.replies.First(ctx, t.ix.id, t.ix.token, c, parts(files))
	switch {
	case err == nil:
		t.done = c.Type != answerLater && c.Type != updateLater
	case errors.Is(err, api.ErrAnswered):
		t.done = true // by the first delivery of the same interaction
		t.bot.log.InfoContext(ctx, "an interaction was answered before")
	default:
		t.lost = api.Refused(err, api.UnknownInteraction)
		t.bot.log.ErrorContext(ctx, "a first answer did not get through", "kind", c.Type, "command", t.command, "community", t.ix.server, "interaction", t.ix.id,
			"after", time.Since(t.heard).Round(time.Millisecond), "error", t.bot.loggable(err))
	}
	return err
}
