package jobs

import (
	"context"
	"fmt"
	"slices"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// mostChanges is what fits a phone without much scrolling.
const mostChanges = 6

const (
	newsDays  = 7  // how long a change is news: the project's choice, enough for a program that was off for days
	askedDays = 60 // how long a question counts: as long as the store keeps it
)

// newsJob tells members who agreed to it that the answer to a question of theirs has changed: daily, from the
// community's reminder hour on.
func newsJob() *Job {
	return &Job{
		Name: "verdict-news",
		due:  daytime,
		tidy: func(ctx context.Context, g *knowledge.Group, m moment) error { return g.ForgetAsked(ctx, m.day) },
		find: findNews,
	}
}

// news is the changes that one member is told of.
type news struct {
	member  knowledge.Member
	changes []knowledge.VerdictChange
}

// findNews drafts one post for each member who asked within 60 days, but not since the change, about every change that
// the member was not told of.
func findNews(ctx context.Context, g *knowledge.Group, m moment) (drafts []draft, err error) {
	changes, err := g.VerdictChanges(ctx, m.now.AddDate(0, 0, -newsDays))
	if err != nil {
		return nil, err
	}
	var all []news
	for _, c := range changes {
		if c.Cause != knowledge.NewTests {
			continue
		}
		members, err := g.Unaware(ctx, c, m.daysAgo(askedDays))
		if err != nil {
			return nil, err
		}
		for _, member := range members {
			i := slices.IndexFunc(all, func(n news) bool { return n.member.ID == member.ID })
			if i < 0 {
				i, all = len(all), append(all, news{member: member})
			}
			all[i].changes = append(all[i].changes, c)
		}
	}
	for _, n := range all {
		drafts = append(drafts, n.draft(m.settings))
	}
	return drafts, nil
}

// key names one change for one member. It stays the same when the change's product is merged into another.
func (n news) key(c knowledge.VerdictChange) string {
	return fmt.Sprintf("%d change %d", n.member.ID, c.ID)
}

func (n news) draft(s knowledge.Settings) draft {
	d := draft{kind: knowledge.VerdictNews}
	for _, c := range n.changes {
		d.keys = append(d.keys, n.key(c))
	}
	d.write = func(_ context.Context, mine map[string]bool) (Post, error) {
		var told []knowledge.VerdictChange
		for _, c := range n.changes {
			if mine[n.key(c)] {
				told = append(told, c)
			}
		}
		if told = commands.NetChanges(told); len(told) == 0 {
			return Post{}, nil
		}
		card := commands.Unasked(newsCard(told, s), commands.Bearing{Bedside: true})
		return Post{Member: n.member.Ref, Card: card}, nil
	}
	return d
}

func newsCard(told []knowledge.VerdictChange, s knowledge.Settings) commands.Card {
	c := commands.Card{
		Title:   "New tests changed an answer that you asked for",
		Verdict: fmt.Sprintf("At the group's ceiling of %g s:", float64(s.Ceiling)),
	}
	if len(told) > 1 {
		c.Title = "New tests changed answers that you asked for"
	}
	for _, change := range told[:min(len(told), mostChanges)] {
		c.Facts = append(c.Facts, commands.Fact{
			Label: commands.ShortName(change.Combination),
			Text:  commands.ChangeWords(change),
		})
		c.Actions = append(c.Actions, commands.HoldAction(change.Combination))
	}
	if more := len(told) - mostChanges; more > 0 {
		c.Facts = append(c.Facts, commands.Fact{Text: fmt.Sprintf("and %d more", more)})
	}
	c.Actions = append(c.Actions, commands.ChoicesAction())
	return c
}
