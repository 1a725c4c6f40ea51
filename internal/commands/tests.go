package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

const testsName = "record tests"

var testsCommand = &Command{
	Name:    testsName,
	Summary: "The bench tests behind a combination, latest first",
	Help: "Lists the group's tests of one gel on one needle or cannula, with who made them and how, and what " +
		"they say on their own.",
	Free:     true,
	FreeHelp: "the combination, as in: orrick mid 30G 13 mm",
	Options:  combinationOptions(pageNumber()),
	Who:      anyMember,
	Quick:    true,
	Shared:   true,
	Examples: []string{"/record tests orrick mid 30G 13 mm"},
	Run:      runTests,
}

func runTests(ctx context.Context, env *Env, call *Call) (Card, error) {
	a, err := readQuestion(env, call)
	if err != nil {
		return Card{}, err
	}
	evidence, err := env.Group.Evidence(ctx, a.combination, calc.DefaultPull)
	if err != nil {
		return Card{}, err
	}
	pages := pagesOf(evidence.Tests.Len())
	page, err := call.page(pages)
	if err != nil {
		return Card{}, err
	}
	tests, err := latestFirst(ctx, env, evidence.Tests.Latest((page-1)*mostListed, mostListed))
	if err != nil {
		return Card{}, err
	}
	c := testsCard(evidence, tests)
	call.sayPage(&c, page, pages)
	return c, nil
}

// latestFirst are the tests of these numbers, the latest first.
func latestFirst(ctx context.Context, env *Env, ids []int64) ([]knowledge.BenchTest, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	page, err := env.Group.Tests(ctx, knowledge.TestFilter{IDs: ids})
	slices.Reverse(page)
	return page, err
}

// testsCard lists a page of the tests and says what all show by themselves, without
// the model.
func testsCard(e *knowledge.Evidence, page []knowledge.BenchTest) Card {
	c := Card{Title: setupTitle(e)}
	if !e.Tested {
		c.Untested = true
		c.Verdict = "Nobody in the group has tested this."
		c.Actions = append([]Action{{Label: "the calculation", Request: about(holdName, e.Combination)}},
			afterAsking(e.Combination)...)
		return c
	}
	n := e.Counts
	c.Verdict = fmt.Sprintf("%s by %s", count(n.Run, "test"), count(n.Testers, "member"))
	if least, most := pulls(e.Tests); least != most {
		c.Verdict += fmt.Sprintf(", pulls %s to %s mL", trimNumber(least), trimNumber(most))
	}
	if line := fewTests(e); line != "" {
		c.line("%s", line)
	}
	if n.ShownByCeiling+n.ShownLater > 0 {
		c.fact("Of those that showed", "shortest %s, median %s, longest %s", exactSeconds(n.Shortest),
			secondsWords(n.Median), exactSeconds(n.Longest))
	}
	if tell := n.Run - n.TooShort; tell > 0 {
		c.fact("On their own", "%d of %d shown by %s; %s to %s, 19 times in 20",
			n.ShownByCeiling, tell, exactSeconds(float64(e.Ceiling)), shareWords(n.Shown.Low), shareWords(n.Shown.High))
	}
	for _, t := range page {
		c.fact(fmt.Sprintf("%s %s, test %d", t.TestedOn, t.Tester.Name, t.ID), "%s", rowWords(t, e.Flagged.Has(t.ID)))
	}
	c.Links = filmLinks(page)
	c.Actions = afterAsking(e.Combination)
	if e.Flagged.Len() > 0 {
		c.warn("%s", flaggedLine(e.Flagged))
	}
	if e.Holders == 0 {
		c.line("Nobody in the group has %s in stock, as far as it is on record.", e.Combination.Product.Name)
	}
	return c
}

// rowWords is a test in a list that gives its day and tester already.
func rowWords(t knowledge.BenchTest, flagged bool) string {
	parts := []string{resultWords(t), t.Timing, "pull " + trimNumber(t.PullML) + " mL", t.Liquid}
	if lot := t.Lot.String(); lot != "" {
		parts = append(parts, lot)
	}
	if t.Note != "" {
		parts = append(parts, "note: "+t.Note)
	}
	if flagged {
		parts = append(parts, flagWords(t))
	}
	return strings.Join(parts, ", ")
}

// flagWords says what looks wrong with a flagged test.
func flagWords(t knowledge.BenchTest) string {
	switch {
	case t.Outcome == knowledge.None && t.Timing == usualTiming: // there is no film
		return "does not fit the others"
	case t.Outcome == knowledge.None:
		return "does not fit the others: look at the film"
	}
	return "looks mistyped"
}
