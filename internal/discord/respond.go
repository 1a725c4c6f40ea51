package discord

import (
	"context"
	"errors"
	"time"

	"holdbench/internal/discord/api"
)

// deferResponse shows that an answer will come. It returns false if Discord did not take that: then the asker reads
// that the bot did not respond.
func (t *turn) deferResponse(ctx context.Context) bool {
	if t.deferred || t.done || t.dead {
		return !t.dead
	}
	c := callback{Type: answerLater}
	switch {
	case t.showing == inPlace:
		c.Type = updateLater
	case t.hidden():
		c.Data = deferral{Flags: flagHidden}
	}
	err := t.callback(ctx, c, nil)
	t.deferred = err == nil || errors.Is(err, api.ErrAnswered)
	return t.deferred
}

// respond sends the answer. If it does not get through, what was stored is confirmed in another way.
func (t *turn) respond(ctx context.Context, m message) {
	through := t.deliver(ctx, m)
	t.bot.observe(t.command, t.became(m, through), t.received)
	if !through {
		t.confirm(ctx, m)
		return
	}
	t.renew(ctx, m)
	t.refresh(ctx, m.source)
}

// deliver sends the answer, in place of the deferral if there was one. It returns false if the asker cannot have seen
// it.
func (t *turn) deliver(ctx context.Context, m message) bool {
	if m.weight() > heavy {
		t.deferResponse(ctx) // an upload may take longer than Discord waits
	}
	if t.deferred || t.maybe {
		return t.edit(ctx, m)
	}
	if t.dead {
		return false
	}
	err := m.send(func(m message) error { return t.show(ctx, m) })
	if api.Refused(err, api.BadForm) {
		// Discord does not accept the message: an apology is better than silence.
		_ = t.show(ctx, t.broken(ctx, err))
		return false
	}
	return err == nil || errors.Is(err, api.ErrAnswered)
}

// edit replaces the deferral by the answer. If Discord does not accept the message, an apology takes its place,
// because a deferral that is left shows "thinking" for a quarter of an hour. If the program began to end meanwhile,
// the answer is sent once more.
func (t *turn) edit(ctx context.Context, m message) bool {
	cut := t.bot.life.Err() != nil
	err := t.editOnce(ctx, m)
	t.done = err == nil
	switch {
	case api.Refused(err, api.BadForm):
		_ = t.editOnce(ctx, t.broken(ctx, err))
	case err != nil && !cut && t.bot.life.Err() != nil:
		err = t.editOnce(ctx, m)
		t.done = err == nil
	}
	return err == nil
}

func (t *turn) editOnce(ctx context.Context, m message) error {
	m.Flags = 0 // who sees it was settled by the first answer
	sending, stop := t.bot.sending(editLimit)
	defer stop()
	err := m.send(func(m message) error {
		return t.bot.replies.Edit(sending, t.ix.app, t.ix.token, m, parts(m.files))
	})
	if err != nil {
		t.bot.log.ErrorContext(ctx, "an answer did not get through", "command", t.command, "community", t.server,
			"interaction", t.ix.id, "error", t.bot.loggable(err))
	}
	return err
}

// became is the outcome of an answer; through says whether it got through.
func (t *turn) became(m message, through bool) Outcome {
	switch {
	case through:
		return m.outcome
	case t.dead:
		return Late
	}
	return Failed
}

// show sends a message as the first answer.
func (t *turn) show(ctx context.Context, m message) error {
	c := callback{Type: answerNow}
	if t.showing == inPlace {
		c.Type, m.Flags = updateNow, 0
	}
	c.Data = m
	return t.callback(ctx, c, m.files)
}

// callback sends the first answer, within the time that is left for it, and logs errors.
func (t *turn) callback(ctx context.Context, c callback, files []file) error {
	sending, stop := t.bot.sending(time.Until(t.received.Add(lastMoment)))
	defer stop()
	err := t.bot.replies.First(sending, t.ix.id, t.ix.token, c, parts(files))
	switch {
	case err == nil:
		t.done = c.Type != answerLater && c.Type != updateLater
	case errors.Is(err, api.ErrAnswered):
		t.done = true // after an earlier delivery of the same interaction
		t.bot.log.InfoContext(ctx, "an interaction was already answered")
	default:
		t.dead = !api.Refused(err, api.BadForm, api.MissingPermission)
		t.maybe = t.dead && !errors.Is(err, api.ErrNotDone)
		t.bot.log.ErrorContext(ctx, "a first answer did not get through", "kind", c.Type, "command", t.command,
			"community", t.ix.server, "interaction", t.ix.id,
			"after", time.Since(t.received).Round(time.Millisecond), "error", t.bot.loggable(err))
	}
	return err
}
