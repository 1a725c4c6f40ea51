package jobs

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

// What a phone shows without scrolling for long.
const (
	mostChanges = 6
	mostTesters = 6
	mostCredits = 6
)

// learned is what the log has gained since the last prompt.
type learned struct {
	since time.Time
	week  bool // all of it happened in the last week
	facts []commands.Fact
}

// usualSpan is how long a week may be: the hour of the prompt may be missed and
// caught up the same day, and the clocks may change.
const usualSpan = 8 * 24 * time.Hour

// words says how long it has been: "last week", "since 2026-11-09".
func (l learned) words() string {
	if l.week {
		return "last week"
	}
	return "since " + l.since.Format(dayForm)
}

// sinceLastPrompt tells of the time since the last prompt that was posted, of a
// week before the first. What came from a file is old, and no news.
func sinceLastPrompt(ctx context.Context, g *knowledge.Group, m moment) (l learned, err error) {
	since, until, err := g.PromptSpan(ctx, m.week, m.now)
	if err != nil {
		return l, err
	}
	if since.IsZero() {
		since = until.In(m.now.Location()).AddDate(0, 0, -7)
	}
	within := func(t time.Time) bool { return !t.Before(since) && t.Before(until) }
	l.since, l.week = since.In(m.now.Location()), true

	tests, err := g.Tests(ctx, knowledge.TestFilter{State: knowledge.Kept, Entered: knowledge.Logged, LoggedSince: since})
	if err != nil {
		return l, err
	}
	imported, err := g.Tests(ctx, knowledge.TestFilter{Entered: knowledge.Imported, LoggedSince: since})
	if err != nil {
		return l, err
	}
	tests = slices.DeleteFunc(tests, func(t knowledge.BenchTest) bool { return t.Corrects != 0 || !within(t.LoggedAt) })
	closed, err := g.Closed(ctx, l.since.Format(dayForm))
	if err != nil {
		return l, err
	}
	closed = slices.DeleteFunc(closed, func(c knowledge.Credit) bool { return !within(c.Test.LoggedAt) })
	changes, err := g.VerdictChanges(ctx, since)
	if err != nil {
		return l, err
	}
	changes = net(slices.DeleteFunc(changes, func(c knowledge.VerdictChange) bool {
		return !within(c.At) || c.Cause == knowledge.LogChanged && slices.ContainsFunc(imported, func(t knowledge.BenchTest) bool {
			return t.Combination.Product.ID == c.Combination.Product.ID && within(t.LoggedAt)
		})
	}))
	for _, t := range tests {
		l.week = l.week && until.Sub(t.LoggedAt) <= usualSpan
	}
	for _, c := range changes {
		l.week = l.week && until.Sub(c.At) <= usualSpan
	}
	l.facts = l.told(tests, closed, changes)
	return l, nil
}

// told puts it in words: how many tests and whose, who kept their word, and how
// verdicts changed.
func (l learned) told(tests []knowledge.BenchTest, closed []knowledge.Credit, changes []knowledge.VerdictChange) (facts []commands.Fact) {
	if len(tests) > 0 {
		facts = append(facts, commands.Fact{Label: strings.ToUpper(l.words()[:1]) + l.words()[1:], Text: testsWords(tests)})
	}
	if len(closed) > 0 {
		facts = append(facts, commands.Fact{Label: "Taken on and done", Text: creditWords(closed)})
	}
	for _, c := range changes[:min(len(changes), mostChanges)] {
		facts = append(facts, commands.Fact{Label: commands.ShortName(c.Combination), Text: changeWords(c)})
	}
	if more := len(changes) - mostChanges; more > 0 {
		facts = append(facts, commands.Fact{Text: fmt.Sprintf("and %d more answers changed", more)})
	}
	return facts
}

// creditWords says who closed what, the latest first. It is whoever tested it, be
// it not the one who took it on.
func creditWords(closed []knowledge.Credit) string {
	var words []string
	for i := len(closed) - 1; i >= max(0, len(closed)-mostCredits); i-- {
		c := closed[i]
		words = append(words, commands.ShortName(c.Test.Combination)+" by "+c.Test.Tester.Name)
	}
	if more := len(closed) - mostCredits; more > 0 {
		words = append(words, fmt.Sprintf("%d more", more))
	}
	return strings.Join(words, "; ")
}

// net is what changes of the same combination, the oldest first, come to: from
// the first before to the last after. What is back where it was is left out.
func net(changes []knowledge.VerdictChange) (all []knowledge.VerdictChange) {
	for _, c := range changes {
		i := slices.IndexFunc(all, func(o knowledge.VerdictChange) bool { return same(o.Combination, c.Combination) })
		if i < 0 {
			all = append(all, c)
			continue
		}
		c.Before = all[i].Before
		if c.Cause != all[i].Cause {
			c.Cause = "" // more than one
		}
		all[i] = c
	}
	return slices.DeleteFunc(all, func(c knowledge.VerdictChange) bool { return c.Before == c.After })
}

// changeWords says how a verdict changed: "was untested, now “too few tests”".
func changeWords(c knowledge.VerdictChange) string {
	text := "was " + stateWords(c.Before) + ", now " + stateWords(c.After)
	switch c.Cause {
	case knowledge.LogChanged:
		return text + ", after a change of the log"
	case knowledge.SpreadLearned:
		return text + ", the same tests weighed by the group's newly learned spread"
	}
	return text
}

// stateWords is a state in a sentence: "“hold”", "untested".
func stateWords(s calc.State) string {
	if s == "" {
		return say.State(calc.StateUntested)
	}
	return "“" + say.State(s) + "”"
}

// testsWords says how many tests there were, of what, and by whom.
func testsWords(tests []knowledge.BenchTest) string {
	of := map[parts]bool{}
	by := map[string]int{}
	for _, t := range tests {
		of[partsOf(t.Combination)] = true
		by[t.Tester.Name]++
	}
	return fmt.Sprintf("%s of %s, by %s", count(len(tests), "new test"), count(len(of), "combination"), testersWords(by))
}

// testersWords names the testers, who tested most first.
func testersWords(by map[string]int) string {
	names := make([]string, 0, len(by))
	for name := range by {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int { return cmp.Or(by[b]-by[a], cmp.Compare(a, b)) })
	words := make([]string, 0, mostTesters+1)
	for _, name := range names[:min(len(names), mostTesters)] {
		words = append(words, fmt.Sprintf("%s (%d)", name, by[name]))
	}
	if more := len(names) - mostTesters; more > 0 {
		words = append(words, fmt.Sprintf("%d more", more))
	}
	return strings.Join(words, ", ")
}

func count(n int, thing string) string { return say.Count(n, thing) }
