package commands

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

// How much is named, so that nobody scrolls for long.
const (
	mostChanges = 6
	mostThanked = 6
	mostInLine  = 2 // testers in the one line
)

// Learned is what the log has gained since the last weekly prompt.
type Learned struct {
	since, until time.Time
	week         bool // all of it came in the last week

	tests   []knowledge.BenchTest
	closed  []knowledge.Credit
	changes []knowledge.VerdictChange
}

// usualSpan is the longest time that is still called a week: a prompt may come late on its day, and the clocks may
// change.
const usualSpan = 8 * 24 * time.Hour

// Span says what time it covers: "last week", "since 2026-11-09".
func (l Learned) Span() string {
	if l.week {
		return "last week"
	}
	return "since " + l.since.Format(dateForm)
}

// LearnedFor is what a week's prompt reports: what came since the last prompt that was posted, or in the last week
// where there was none. now is in the community's zone.
func LearnedFor(ctx context.Context, g *knowledge.Group, week string, now time.Time) (Learned, error) {
	since, until, err := g.PromptSpan(ctx, week, now)
	if err != nil {
		return Learned{}, err
	}
	if since.IsZero() {
		since = until.In(now.Location()).AddDate(0, 0, -7)
	}
	return learnedWithin(ctx, g, since.In(now.Location()), until)
}

// learnedWithin is what came from since until until. It leaves out what came from a file: old tests are no news.
func learnedWithin(ctx context.Context, g *knowledge.Group, since, until time.Time) (l Learned, err error) {
	l = Learned{since: since, until: until, week: true}
	within := func(t time.Time) bool { return !t.Before(since) && t.Before(until) }
	if l.tests, err = g.Tests(ctx, knowledge.TestFilter{State: knowledge.Kept, Entered: knowledge.Logged,
		LoggedSince: since}); err != nil {
		return l, err
	}
	imported, err := g.Tests(ctx, knowledge.TestFilter{Entered: knowledge.Imported, LoggedSince: since})
	if err != nil {
		return l, err
	}
	l.tests = slices.DeleteFunc(l.tests,
		func(t knowledge.BenchTest) bool { return t.Corrects != 0 || !within(t.LoggedAt) })
	if l.closed, err = g.Closed(ctx, since.Format(dateForm)); err != nil {
		return l, err
	}
	l.closed = slices.DeleteFunc(l.closed, func(c knowledge.Credit) bool { return !within(c.Test.LoggedAt) })
	changes, err := g.VerdictChanges(ctx, since)
	if err != nil {
		return l, err
	}
	l.changes = NetChanges(slices.DeleteFunc(changes, func(c knowledge.VerdictChange) bool {
		return !within(c.At) || c.Cause == knowledge.LogChanged &&
			slices.ContainsFunc(imported, func(t knowledge.BenchTest) bool {
				return t.Combination.Product.ID == c.Combination.Product.ID && within(t.LoggedAt)
			})
	}))
	for _, t := range l.tests {
		l.week = l.week && until.Sub(t.LoggedAt) <= usualSpan
	}
	for _, c := range l.changes {
		l.week = l.week && until.Sub(c.At) <= usualSpan
	}
	return l, nil
}

// Line sums it up in one line, nil where nothing came.
func (l Learned) Line() []Fact {
	tests, changes := "", ""
	if len(l.tests) > 0 {
		tests = testsWords(l.tests, mostInLine)
	}
	if n := len(l.changes); n > 0 {
		changes = count(n, "answer") + " changed"
	}
	if words := joinNonEmpty("; ", tests, changes); words != "" {
		return []Fact{{capital(l.Span()), words}}
	}
	return nil
}

// Facts are all of it: how many tests and whose, what was taken on and done, and how verdicts changed.
func (l Learned) Facts() (facts []Fact) {
	if len(l.tests) > 0 {
		facts = append(facts, Fact{capital(l.Span()), testsWords(l.tests, mostThanked)})
	}
	if len(l.closed) > 0 {
		facts = append(facts, Fact{"Taken on and done", creditWords(l.closed)})
	}
	for _, c := range l.changes[:min(len(l.changes), mostChanges)] {
		facts = append(facts, Fact{ShortName(c.Combination), ChangeWords(c)})
	}
	if more := len(l.changes) - mostChanges; more > 0 {
		facts = append(facts, Fact{"", fmt.Sprintf("and %d more answers changed", more)})
	}
	return facts
}

// creditWords says who closed what, the latest first. The credit goes to the member who tested it, whoever took it on.
func creditWords(closed []knowledge.Credit) string {
	var words []string
	for _, c := range slices.Backward(closed) {
		words = append(words, ShortName(c.Test.Combination)+" by "+c.Test.Tester.Name)
	}
	return someOf(words, mostThanked, "; ")
}

// NetChanges sums up the changes of each combination, given the oldest first: from before its first to after its last.
// It leaves out a combination that is back where it was.
func NetChanges(changes []knowledge.VerdictChange) (all []knowledge.VerdictChange) {
	for _, c := range changes {
		i := slices.IndexFunc(all,
			func(o knowledge.VerdictChange) bool { return pin(o.Combination) == pin(c.Combination) })
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

// ChangeWords says how a verdict changed: "was untested, now “too few tests”".
func ChangeWords(c knowledge.VerdictChange) string {
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

// testsWords says how many tests there were, of how many combinations, and by whom; it names at most so many testers.
func testsWords(tests []knowledge.BenchTest, most int) string {
	of := map[string]bool{}
	by := map[string]int{}
	for _, t := range tests {
		of[pin(t.Combination)] = true
		by[t.Tester.Name]++
	}
	return fmt.Sprintf("%s of %s, by %s", count(len(tests), "new test"), count(len(of), "combination"),
		testersWords(by, most))
}

// testersWords names the testers, those with the most tests first.
func testersWords(by map[string]int, most int) string {
	names := slices.SortedFunc(maps.Keys(by), func(a, b string) int { return cmp.Or(by[b]-by[a], cmp.Compare(a, b)) })
	for i, name := range names {
		names[i] = fmt.Sprintf("%s (%d)", name, by[name])
	}
	return someOf(names, most, ", ")
}
