package commands

import (
	"context"
	"fmt"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

const (
	flaggedName = "trainer flagged"
	mostOffered = 5 // buttons: one row
)

var flaggedCommand = &Command{
	Name:    flaggedName,
	Summary: "Tests that do not fit, set-ups unlike the others, testers and lots that differ (trainer)",
	Help: "A flagged test fits the others so badly that something is probably wrong with it; it stays on record and " +
		"counts for little in the estimate. Look at the film or ask the tester, then /" + withdrawName +
		" it or mark it with /" + checkedName + ". Testers are compared on the combinations that others tested, too.",
	Who:      knowledge.TrainerRole,
	Examples: []string{"/trainer flagged"},
	Run:      runFlagged,
}

func runFlagged(ctx context.Context, env *Env, call *Call) (Card, error) {
	flagged, err := env.Group.Flagged(ctx)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: count(len(flagged), "test") + " to look at"}
	if len(flagged) == 0 {
		c.Title = "No test looks wrong."
	}
	var tests []knowledge.BenchTest
	for _, f := range flagged {
		words := stockWords(f.Test.Combination) + ": " + testWords(f.Test)
		if f.Checked != nil {
			words += "; checked by " + f.Checked.By.Name + ", " + f.Checked.At.In(call.now.Location()).Format(dateForm)
		} else if len(c.Actions) < mostOffered {
			c.Actions = append(c.Actions, onTest(fmt.Sprintf("let test %d stand", f.Test.ID), checkedName, f.Test.ID))
		}
		c.fact(fmt.Sprintf("Test %d", f.Test.ID), "%s", words)
		tests = append(tests, f.Test)
	}
	c.Links = filmLinks(tests)
	c = shortened(c)
	if err := unlikeFacts(ctx, env, &c); err != nil {
		return Card{}, err
	}
	testers, err := env.Group.Testers(ctx)
	if err != nil {
		return Card{}, err
	}
	c.Facts = append(c.Facts, testerFacts(testers)...)
	lots, err := env.Group.Lots(ctx, 0)
	if err != nil {
		return Card{}, err
	}
	c.Facts = append(c.Facts, apartLotFacts(lots)...)
	return c, nil
}

// unlikeFacts names the set-ups that are unlike the others and that no trainer has looked at since their last test.
func unlikeFacts(ctx context.Context, env *Env, c *Card) error {
	covered, err := env.Group.Coverage(ctx)
	if err != nil {
		return err
	}
	for _, set := range covered {
		if set.State != calc.StateUnlikeTheOthers && set.State != calc.StateUnlikeItsClass {
			continue
		}
		name := stockWords(set.Combination)
		c.fact(name, "%s (%s): look at the box and the films", say.State(set.State), count(set.Tests, "test"))
		if len(c.Actions) < mostOffered {
			c.Actions = append(c.Actions, toAskAbout("as logged: "+name, checkedName, set.Combination))
		}
	}
	return nil
}
