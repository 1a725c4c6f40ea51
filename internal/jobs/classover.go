package jobs

import (
	"context"
	"fmt"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// classNewsFor is how long after its end a class is still told of: a program that was
// stopped meanwhile makes up for it.
const classNewsFor = 24 * time.Hour

func classJob() *Job {
	return &Job{
		Name:  "class-over",
		When:  "within some minutes of the end of a class's hour; not where a trainer ended it, who saw it then",
		About: "Shows in the channel how far the tests of a class lie apart, without names",
		due:   func(moment) bool { return true },
		find:  findClassesOver,
	}
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
