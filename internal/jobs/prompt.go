package jobs

import (
	"context"
	"slices"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// promptJob posts what is worth a test and what was learned last week: on the community's reminder day, from its
// reminder hour on, or on the day after if that was missed.
func promptJob() *Job {
	return &Job{
		Name: "weekly-prompt",
		due:  func(m moment) bool { return m.prompt && m.settings.ReminderChannel != "" },
		find: findPrompt,
	}
}

func findPrompt(_ context.Context, g *knowledge.Group, m moment) ([]draft, error) {
	return []draft{{
		kind: knowledge.WeeklyPrompt, keys: []string{m.week},
		write: func(ctx context.Context, _ map[string]bool) (Post, error) { return writePrompt(ctx, g, m) },
	}}, nil
}

func writePrompt(ctx context.Context, g *knowledge.Group, m moment) (Post, error) {
	card, open, err := commands.Prompt(ctx, g, m.week, m.now, false)
	if err != nil {
		return Post{}, err
	}
	mentions, err := askable(ctx, g, open)
	if err != nil {
		return Post{}, err
	}
	if card.Title != "" {
		card = commands.Unasked(card, commands.Bearing{Bench: true})
	}
	return Post{Channel: m.settings.ReminderChannel, Card: card, Mentions: mentions}, nil
}

// askable returns the members who use one of these combinations and have agreed to be mentioned, in the order in which
// the combinations are named.
func askable(ctx context.Context, g *knowledge.Group, open []knowledge.OpenCombination) (refs []string, err error) {
	agreed, err := g.Mentionable(ctx)
	if err != nil || len(agreed) == 0 {
		return nil, err
	}
	stock, err := g.Stock(ctx, knowledge.StockFilter{})
	if err != nil {
		return nil, err
	}
	for _, o := range open {
		for _, item := range stock {
			of, open := item.Combination, o.Combination
			uses := of.Product.ID == open.Product.ID && of.Instrument.ID == open.Instrument.ID &&
				of.Syringe.ID == open.Syringe.ID
			if uses && agreed[item.Member.ID] && !slices.Contains(refs, item.Member.Ref) {
				refs = append(refs, item.Member.Ref)
			}
		}
	}
	return refs, nil
}
