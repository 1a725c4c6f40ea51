package jobs

import (
	"context"
	"fmt"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// correctionsJob tells members that a trainer has corrected their test: daily, from the community's reminder hour on.
func correctionsJob() *Job {
	return &Job{Name: "corrections", due: daytime, find: findCorrections}
}

// findCorrections drafts one post for each test that somebody else has corrected.
func findCorrections(ctx context.Context, g *knowledge.Group, m moment) (drafts []draft, err error) {
	made, err := g.Corrections(ctx, m.now.AddDate(0, 0, -newsDays))
	if err != nil {
		return nil, err
	}
	for _, c := range made {
		key := fmt.Sprintf("test %d at %s", c.Old.ID, c.At.Format("2006-01-02 15:04:05"))
		drafts = append(drafts, draft{
			kind: knowledge.CorrectedNews, keys: []string{key},
			write: func(context.Context, map[string]bool) (Post, error) {
				card := commands.Unasked(correctionCard(c), commands.Bearing{Bench: true})
				return Post{Member: c.Old.Tester.Ref, Card: card}, nil
			},
		})
	}
	return drafts, nil
}

func correctionCard(c knowledge.Correction) commands.Card {
	card := commands.Card{
		Title:   fmt.Sprintf("%s corrected your test %d", c.By.Name, c.Old.ID),
		Verdict: fmt.Sprintf("Test %d replaces it. The old one stays on record.", c.New.ID),
		Facts:   []commands.Fact{{Label: commands.ShortName(c.Old.Combination), Text: c.Reason}},
	}
	card.Actions = []commands.Action{commands.AsBeforeAction(c.Old)}
	return card
}
