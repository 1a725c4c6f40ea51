package jobs

import (
	"context"
	"fmt"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// classNewsFor is how long after its end a class is still posted, by a program that was stopped meanwhile.
const classNewsFor = 24 * time.Hour

// classJob shows in the channel how far the tests of a class lie apart, without names: within minutes of the end of its
// hour, unless a trainer ended it and so has seen it.
func classJob() *Job {
	return &Job{Name: "class-over", due: func(moment) bool { return true }, find: findClassesOver}
}

func findClassesOver(ctx context.Context, g *knowledge.Group, m moment) (drafts []draft, err error) {
	over, err := g.ClassesOver(ctx, m.now.Add(-classNewsFor))
	for _, class := range over {
		if class.Tests == 0 || class.Channel == "" {
			continue // nothing to show, or nowhere
		}
		drafts = append(drafts, draft{kind: knowledge.VerdictNews, keys: []string{fmt.Sprintf("class %d is over",
			class.ID)}, once: true,
			write: func(ctx context.Context, _ map[string]bool) (Post, error) {
				found, err := g.ClassSpread(ctx, class.ID)
				if err != nil {
					return Post{}, err
				}
				card, err := commands.ClassFound(found, m.settings.Name)
				return Post{Channel: class.Channel, Card: commands.Unasked(card, commands.Bearing{Bench: true})}, err
			}})
	}
	return drafts, err
}
