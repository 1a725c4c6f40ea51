package discord

import (
	"context"
	"errors"
	"time"

	"holdbench/internal/discord/api"
)

// deferResponse shows that an answer will come; false if Discord did not take it: then
// the asker reads that the bot did not respond.
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

// respond gives the answer itself. What was stored is confirmed in another way where
// it does not get through.
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

// deliver gives the answer, in place of the deferral if there was one; false if the
// asker cannot have seen it.
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
	err := t.show(ctx, m)
	if m.refusesFiles(err) {
		err = t.show(ctx, m.inWords())
	}
	if api.Refused(err, api.BadForm) {
		// Discord does not take the message: an apology is better than silence.
		_ = t.show(ctx, t.broken(ctx, err))
		return false
	}
	return err == nil || errors.Is(err, api.ErrAnswered)
}

// edit puts the answer in place of the deferral. Where Discord does not take the
// message, or the program ends meanwhile, an apology takes its place: a deferral that
// is left shows "thinking" for a quarter of an hour.
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
	err := t.bot.replies.Edit(sending, t.ix.app, t.ix.token, m, parts(m.files))
	if m.refusesFiles(err) {
		m = m.inWords()
		err = t.bot.replies.Edit(sending, t.ix.app, t.ix.token, m, nil)
	}
	if err != nil {
		t.bot.log.ErrorContext(ctx, "an answer did not get through", "command", t.command, "community", t.server,
			"interaction", t.ix.id, "error", t.bot.loggable(err))
	}
	return err
}

// became is what became of the answer that was to be given.
func (t *turn) became(m message, through bool) Outcome {
	switch {
	case through:
		return m.outcome
	case t.dead:
		return Late
	}
	return Failed
}

// show gives a message as the first answer.
func (t *turn) show(ctx context.Context, m message) error {
	c := callback{Type: answerNow}
	if t.showing == inPlace {
		c.Type, m.Flags = updateNow, 0
	}
	c.Data = m
	return t.callback(ctx, c, m.files)
}

// callback sends the first answer, in the time that is left for it.
func (t *turn) callback(ctx context.Context, c callback, files []file) error {
	sending, stop := t.bot.sending(time.Until(t.received.Add(lastMoment)))
	defer stop()
	err := t.bot.replies.First(sending, t.ix.id, t.ix.token, c, parts(files))
	switch {
	case err == nil:
		t.done = c.Type != answerLater && c.Type != updateLater
	case errors.Is(err, api.ErrAnswered):
		t.done = true // by the first delivery of the same interaction
		t.bot.log.InfoContext(ctx, "an interaction was answered before")
	default:
		t.dead = !api.Refused(err, api.BadForm, api.MissingPermission)
		t.maybe = t.dead && !errors.Is(err, api.ErrNotDone)
		t.bot.log.ErrorContext(ctx, "a first answer did not get through", "kind", c.Type, "command", t.command,
			"community", t.ix.server, "interaction", t.ix.id,
			"after", time.Since(t.received).Round(time.Millisecond), "error", t.bot.loggable(err))
	}
	return err
}
