package jobs

import (
	"context"
	"slices"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
	"holdbench/internal/trade"
)

// mostPrompted is how many combinations a prompt names: more would not be read.
const mostPrompted = 3

func promptJob() *Job {
	return &Job{
		Name:  "weekly-prompt",
		When:  "on the community's reminder day, from its reminder hour on; on the day after, if that was missed",
		About: "What is worth a test, and what was learned last week",
		due:   func(m moment) bool { return m.prompt && m.settings.ReminderChannel != "" },
		find:  findPrompt,
	}
}

func findPrompt(_ context.Context, g *knowledge.Group, m moment) ([]draft, error) {
	return []draft{{
		kind: knowledge.WeeklyPrompt, keys: []string{m.week},
		write: func(ctx context.Context, _ map[string]bool) (Post, error) { return writePrompt(ctx, g, m) },
	}}, nil
}

func writePrompt(ctx context.Context, g *knowledge.Group, m moment) (Post, error) {
	return promptSince(ctx, g, m, "")
}

// promptSince is the prompt with what was taken on from a day on among what it names;
// "" for nothing that is taken.
func promptSince(ctx context.Context, g *knowledge.Group, m moment, day string) (Post, error) {
	open, err := g.Untested(ctx, m.day)
	if err != nil {
		return Post{}, err
	}
	open = prompted(open, day)
	l, err := commands.LearnedFor(ctx, g, m.week, m.now)
	if err != nil {
		return Post{}, err
	}
	mentions, err := askable(ctx, g, open)
	if err != nil {
		return Post{}, err
	}
	card := promptCard(open, l)
	if card.Title != "" {
		card = commands.Unasked(card, commands.Bearing{Bench: true})
	}
	return Post{Channel: m.settings.ReminderChannel, Card: card, Mentions: mentions}, nil
}

// prompted picks from what nobody has taken on, or only from a day on: what is nearest
// to a hold first, then what is newly stocked and untested, then the rest, each in order
// of worth.
func prompted(open []knowledge.OpenCombination, day string) []knowledge.OpenCombination {
	var near, fresh, rest []knowledge.OpenCombination
	for _, o := range open {
		switch {
		case o.Claim != nil && (day == "" || o.Claim.TakenOn < day):
		case o.Advice.Near:
			near = append(near, o)
		case o.NewlyStocked && o.Tests == 0:
			fresh = append(fresh, o)
		default:
			rest = append(rest, o)
		}
	}
	all := slices.Concat(near, fresh, rest)
	return all[:min(len(all), mostPrompted)]
}

// promptCard has no title if there is nothing to say.
func promptCard(open []knowledge.OpenCombination, l commands.Learned) commands.Card {
	var c commands.Card
	if len(open) == 0 {
		if c.Facts = l.Facts(); len(c.Facts) > 0 {
			c.Title = "What was learned " + l.Span()
		}
		return c
	}
	c.Title = "Worth a test this week"
	var free []trade.Combination
	for _, o := range open {
		text := o.Why
		if o.Claim == nil {
			free = append(free, o.Combination)
		} else {
			text = "taken on by " + o.Claim.Member.Name + " until " + o.Claim.DueOn
		}
		c.Facts = append(c.Facts, commands.Fact{Label: commands.ShortName(o.Combination), Text: text})
	}
	if len(free) > 0 {
		c.Picks = []commands.Pick{commands.TakeOnPick(free)}
	}
	line := l.Line()
	c.Facts = append(c.Facts, line...)
	c.Actions = []commands.Action{commands.UntestedAction()}
	if len(line) > 0 {
		c.Actions = append(c.Actions, commands.NewsAction())
	}
	return c
}

// askable are the members who use one of these and have agreed to be mentioned,
// in the order in which their combinations are named.
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
			uses := same(item.Combination, o.Combination) && agreed[item.Member.ID]
			if uses && !slices.Contains(refs, item.Member.Ref) {
				refs = append(refs, item.Member.Ref)
			}
		}
	}
	return refs, nil
}

// parts names a combination by the numbers of what it is made of.
type parts struct{ product, instrument, syringe int64 }

func partsOf(c trade.Combination) parts {
	return parts{c.Product.ID, c.Instrument.ID, c.Syringe.ID}
}

func same(a, b trade.Combination) bool { return partsOf(a) == partsOf(b) }

func count(n int, thing string) string { return say.Count(n, thing) }
