package commands

import (
	"context"
	"time"
)

const newsName = "group news"

var newsCommand = &Command{
	Name:     newsName,
	Summary:  "What was tested since the last weekly prompt, by whom, and which answers changed",
	Help:     "The weekly prompt sums it up in one line; this is all of it. Tests from a file are left out.",
	Who:      anyMember,
	Shared:   true,
	Examples: []string{"/group news"},
	Run:      runNews,
}

func runNews(ctx context.Context, env *Env, call *Call) (Card, error) {
	week, _, err := call.settings.PromptDue(call.now)
	if err != nil {
		return Card{}, err
	}
	l, err := LearnedFor(ctx, env.Group, week, call.now)
	if err != nil {
		return Card{}, err
	}
	if l, err = learnedWithin(ctx, env.Group, l.since, call.now.Add(time.Second)); err != nil {
		return Card{}, err
	}
	c := Card{Title: "What was learned", Facts: l.Facts()}
	if len(c.Facts) == 0 {
		c.Verdict = sentence(l.Span() + " nothing was tested, and no answer changed")
	}
	c.Actions = []Action{UntestedAction()}
	return c, nil
}
