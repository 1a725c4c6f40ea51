package commands

import (
	"context"
	"fmt"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

const testsName = "record tests"

var testsCommand = &Command{
	Name:    testsName,
	Summary: "The bench tests behind a combination, latest first",
	Help: "Lists the group's tests of one gel on one needle or cannula: who made them, how, and what they say on " +
		"their own.",
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

// latestFirst returns the tests with these numbers, the latest first.
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
	c.Verdict = testsBy(n.Run, n.Testers)
	if least, most := pulls(e.Tests); least != most {
		c.Verdict += fmt.Sprintf(", pulls %s to %s mL", trimNumber(least), trimNumber(most))
	}
	c.line("%s", fewTests(e))
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
	if len(page) > 0 {
		c.line("Where not said: pull %s mL, %s.", trimNumber(usualPullML), usualLiquid)
	}
	c.Links = filmLinks(page)
	c.Actions = afterAsking(e.Combination)
	c.warn("%s", flaggedLine(e.Flagged))
	if e.Holders == 0 {
		c.line("Nobody in the group has %s in stock, as far as the records go.", e.Combination.Product.Name)
	}
	return c
}

// testsBy counts tests and who made them: "9 tests by 3 members".
func testsBy(tests, members int) string {
	return count(tests, "test") + " by " + count(members, "member")
}

// rowWords is a test in a list that gives its day and tester. It leaves out the usual pull and the usual liquid.
func rowWords(t knowledge.BenchTest, flagged bool) string {
	pull, liquid, note, flag := "", "", "", ""
	if t.PullML != usualPullML {
		pull = "pull " + trimNumber(t.PullML) + " mL"
	}
	if t.Liquid != usualLiquid {
		liquid = t.Liquid
	}
	if t.Note != "" {
		note = "note: " + t.Note
	}
	if flagged {
		flag = flagWords(t)
	}
	return joinNonEmpty(", ", resultWords(t), t.Timing, pull, liquid, t.Lot.String(), note, flag)
}

// flagWords says what looks wrong with a flagged test.
func flagWords(t knowledge.BenchTest) string {
	switch {
	case t.Outcome == knowledge.None && t.Timing == usualTiming: // timed without a film
		return "does not fit the others"
	case t.Outcome == knowledge.None:
		return "does not fit the others: look at the film"
	}
	return "looks mistyped"
}
