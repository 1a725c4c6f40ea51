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
)

// lastWeek tells of the week up to the hour at which this prompt was due, so that
// a prompt that comes late takes nothing from the next one.
func lastWeek(ctx context.Context, g *knowledge.Group, m moment) ([]commands.Fact, error) {
	until := time.Date(m.now.Year(), m.now.Month(), m.now.Day(), m.settings.ReminderHour, 0, 0, 0, m.now.Location())
	since := until.AddDate(0, 0, -7)
	within := func(t time.Time) bool { return !t.Before(since) && t.Before(until) }

	tests, err := g.Tests(ctx, knowledge.TestFilter{State: knowledge.Kept})
	if err != nil {
		return nil, err
	}
	tests = slices.DeleteFunc(tests, func(t knowledge.BenchTest) bool { return t.Corrects != 0 || !within(t.LoggedAt) })
	changes, err := g.VerdictChanges(ctx, since)
	if err != nil {
		return nil, err
	}
	changes = net(slices.DeleteFunc(changes, func(c knowledge.VerdictChange) bool { return !within(c.At) }))

	var facts []commands.Fact
	if len(tests) > 0 {
		facts = append(facts, commands.Fact{Label: "Last week", Text: testsWords(tests)})
	}
	for _, c := range changes[:min(len(changes), mostChanges)] {
		facts = append(facts, commands.Fact{Label: commands.ShortName(c.Combination), Text: changeWords(c)})
	}
	if more := len(changes) - mostChanges; more > 0 {
		facts = append(facts, commands.Fact{Text: fmt.Sprintf("and %d more verdicts changed", more)})
	}
	return facts, nil
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

// changeWords says how a verdict changed: "was untested, now shows in time".
func changeWords(c knowledge.VerdictChange) string {
	text := "was " + verdictWords(c.Before) + ", now " + verdictWords(c.After)
	switch c.Cause {
	case knowledge.LogChanged:
		return text + ", after a change of the log"
	case knowledge.SpreadLearned:
		return text + ", the same tests weighed by the group's newly learned spread"
	}
	return text
}

func verdictWords(v calc.Verdict) string {
	if v == "" {
		return "untested"
	}
	return fmt.Sprintf("“%s”", v)
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
