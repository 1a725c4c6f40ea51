package discord

import (
	"context"

	"holdbench/internal/commands"
)

// An answer that used an estimate without the latest tests is edited once the new estimate is there. If that fails, the
// answer stays: it says which tests it used.

// renewal asks the same again once the new estimate is there; nil for a Card that used the latest one. A test is not
// logged twice by that, because it has the same key.
func (t *turn) renewal(card commands.Card, req commands.Request,
	earlier []commands.Stored) func(context.Context) (message, bool) {
	if card.Behind == 0 {
		return nil
	}
	return func(ctx context.Context) (message, bool) {
		if t.env.Group.EstimateMade(ctx, card.Behind) != nil {
			return message{}, false
		}
		leave, err := t.bot.answerWork.enter(ctx, t.community())
		if err != nil {
			return message{}, false
		}
		defer leave()
		again := t.bot.answer(ctx, t.env, t.signed(req))
		if again.Refused || again.Failed || again.Behind != 0 || len(again.Choices) > 0 {
			return message{}, false
		}
		return t.shown(ctx, again, req, earlier), true
	}
}

// renew replaces the answer by that of the new estimate.
func (t *turn) renew(ctx context.Context, m message) {
	if m.renewal == nil || t.bot.ending.Load() {
		return
	}
	if again, made := m.renewal(ctx); made {
		_ = t.editOnce(ctx, again) // logs its errors
	}
}
