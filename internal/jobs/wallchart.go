package jobs

import (
	"context"
	"errors"

	"holdbench/internal/commands"
	"holdbench/internal/fault"
	"holdbench/internal/knowledge"
)

// keepWallChart brings the group's wall chart up to date, if the group keeps one: it edits the message, or posts a new
// one if that is gone.
func (r *Runner) keepWallChart(ctx context.Context, g *knowledge.Group) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fault.Panicked(p)
		}
	}()
	kept, err := g.CoveragePost(ctx)
	if errors.Is(err, knowledge.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	shown, draw, err := commands.WallChart(ctx, g, r.Now())
	if err != nil || kept.Shown == shown {
		return err
	}
	kept, mine, err := g.ClaimCoveragePost(ctx, shown)
	if err != nil || !mine {
		return err
	}
	card, err := draw()
	if err != nil {
		return err
	}
	id, err := r.Poster.Post(ctx, chartPost(g, kept, card))
	if errors.Is(err, ErrGone) {
		if err := g.CompleteCoveragePost(ctx, kept, "", ""); err != nil {
			return err
		}
		if kept, mine, err = g.ClaimCoveragePost(ctx, shown); err != nil || !mine {
			return err
		}
		id, err = r.Poster.Post(ctx, chartPost(g, kept, card))
	}
	switch {
	case errors.Is(err, ErrClosed): // tried again when the claim is over: somebody may open the channel
		return r.tellTrainers(ctx, g, kept.Channel, err)
	case err != nil:
		return err
	}
	ctx, stop := context.WithTimeout(context.WithoutCancel(ctx), completeWithin)
	defer stop()
	return g.CompleteCoveragePost(ctx, kept, id, shown)
}

func chartPost(g *knowledge.Group, kept knowledge.CoveragePost, card commands.Card) Post {
	p := Post{
		Community: g.Ref(), Channel: kept.Channel, Card: commands.Unasked(card, commands.Bearing{}), Edit: kept.Post,
		Attempt: 1, Begun: kept.Begun,
	}
	if kept.Post == "" {
		p.Key = "wall chart of " + kept.Begun.UTC().String()
	}
	if kept.Again {
		p.Attempt = 2
	}
	return p
}
