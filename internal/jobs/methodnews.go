package jobs

import (
	"context"
	"fmt"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

// methodJob tells a community that holds are advised by a new method: once for each method, from the community's
// reminder hour on.
func methodJob() *Job {
	return &Job{Name: "method-news", due: daytime, find: findMethodNews}
}

// findMethodNews drafts one post in place of one for each verdict that the method changed. Where no reminder channel is
// set, each trainer gets it in private.
func findMethodNews(ctx context.Context, g *knowledge.Group, m moment) ([]draft, error) {
	now, changed, err := g.MethodChanged(ctx)
	if err != nil || !changed {
		return nil, err
	}
	key := fmt.Sprintf("method %d", now)
	if channel := m.settings.ReminderChannel; channel != "" {
		return []draft{methodDraft(m, key, Post{Channel: channel})}, nil
	}
	members, err := g.Members(ctx)
	if err != nil {
		return nil, err
	}
	var drafts []draft
	for _, one := range members {
		if one.Role == knowledge.TrainerRole {
			drafts = append(drafts, methodDraft(m, fmt.Sprintf("%d %s", one.ID, key), Post{Member: one.Ref}))
		}
	}
	return drafts, nil
}

func methodDraft(m moment, key string, to Post) draft {
	return draft{kind: knowledge.VerdictNews, keys: []string{key}, write: func(context.Context, map[string]bool) (Post,
		error) {
		to.Card = commands.Unasked(methodCard(m.settings), commands.Bearing{Bedside: true})
		return to, nil
	}}
}

func methodCard(s knowledge.Settings) commands.Card {
	return commands.Card{
		Title:   "The way holds are advised has changed",
		Verdict: "A hold now says no more than the group's own tests carry. Ask anew before you use one you remember.",
		Facts: []commands.Fact{
			{Text: fmt.Sprintf("It takes %s by %s, and nothing that sets the set-up apart from the gel's others.",
				say.Count(s.LeastTests, "test"), say.Count(s.LeastMembers, "member"))},
			{Text: "Tests and estimate both have to reach the group's target by the hold. Many holds are longer, " +
				"some are gone."},
		},
		Actions: []commands.Action{commands.MethodAction()},
	}
}
