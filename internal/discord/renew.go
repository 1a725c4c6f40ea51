package discord

import (
	"context"

	"holdbench/internal/commands"
)

// An answer that went by the estimate before the latest tests is edited once the new one
// is there. Where that fails it stands: it says itself what it went by.

// renewal asks the same again when the estimate of a product is there; nil for a Card
// that did not go by an earlier one. A test that was logged is not logged again: it has
// the same key.
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

// renew puts the answer by the new estimate in place of the one by the estimate before.
func (t *turn) renew(ctx context.Context, m message) {
	if m.renewal == nil || t.bot.ending.Load() {
		return
	}
	if again, made := m.renewal(ctx); made {
		_ = t.editOnce(ctx, again) // told to the log in there
	}
}
