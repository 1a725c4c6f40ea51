package jobs

import (
	"context"
	"strings"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

// boxJob proposes a bench session to members whose box is full enough or getting old: daily, from the community's
// reminder hour on.
func boxJob() *Job {
	return &Job{Name: "bench-session", due: daytime, find: findProposals}
}

func findProposals(ctx context.Context, g *knowledge.Group, m moment) (drafts []draft, err error) {
	proposals, err := g.BoxProposals(ctx, m.day)
	if err != nil {
		return nil, err
	}
	for _, p := range proposals {
		drafts = append(drafts, draft{
			kind: knowledge.BoxProposed, keys: []string{p.Key},
			write: func(context.Context, map[string]bool) (Post, error) {
				return Post{Member: p.Member.Ref, Card: commands.Unasked(proposalCard(p, m.settings),
					commands.Bearing{Bench: true})}, nil
			},
		})
	}
	return drafts, nil
}

// mostInBox is how many items get a line of their own.
const mostInBox = 12

func proposalCard(p knowledge.BoxProposal, s knowledge.Settings) commands.Card {
	c := commands.Card{Title: "Time for a bench session?", Verdict: say.Count(len(p.Items), "syringe") +
		" of yours in the box, the oldest since " + p.Oldest + "."}
	for _, item := range p.Items[:min(len(p.Items), mostInBox)] {
		c.Facts = append(c.Facts, commands.Fact{Label: item.Label(), Text: commands.ShortName(item.Combination) +
			", since " + item.PutOn})
	}
	if more := len(p.Items) - mostInBox; more > 0 {
		var labels []string
		for _, item := range p.Items[mostInBox:] {
			labels = append(labels, item.Label())
		}
		c.Facts = append(c.Facts, commands.Fact{Text: "and " + strings.Join(labels, ", ")})
	}
	if !p.Full {
		c.Facts = append(c.Facts, commands.Fact{Text: "The group tests what is put aside within " +
			say.Count(s.BoxDays, "day") + "."})
	}
	c.Actions = commands.BenchActions()
	return c
}
