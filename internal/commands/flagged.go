package commands

import (
	"context"
	"errors"
	"strconv"

	"holdbench/internal/knowledge"
)

const (
	flaggedName = "flagged"
	checkedName = "checked"
)

var flaggedCommand = &Command{
	Name:    flaggedName,
	Summary: "Tests that look like slips of the pen, and testers whose times differ from the rest (trainer)",
	Help: "A test is flagged where it fits the others so badly that a slip is likelier than not; it counts for little, and stays. " +
		"Look at the film or ask the tester, then /" + withdrawName + " it or mark it with /" + checkedName + ". " +
		"Testers are compared on the combinations that others tested, too.",
	Who:      knowledge.TrainerRole,
	Slow:     true,
	Examples: []string{"/flagged"},
	Run:      runFlagged,
}

func runFlagged(ctx context.Context, env *Env, _ Request) (Card, error) {
	flagged, err := env.Group.Flagged(ctx)
	if err != nil {
		return Card{}, err
	}
	today, err := env.today(ctx)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: count(len(flagged), "test") + " to look at"}
	if len(flagged) == 0 {
		c.Title = "No test looks like a slip of the pen."
	}
	var tests []knowledge.BenchTest
	for _, f := range flagged {
		words := stockWords(f.Test.Combination) + ": " + testWords(f.Test)
		if f.Checked != nil {
			words += "; checked by " + f.Checked.By.Name + ", " + f.Checked.At.In(today.Location()).Format(dateForm)
		} else if len(c.Actions) < mostOffered {
			number := map[string]string{testOption: strconv.FormatInt(f.Test.ID, 10)}
			c.Actions = append(c.Actions, Action{Label: "let test " + number[testOption] + " stand", Request: Request{Command: checkedName, Values: number}, Tap: true})
		}
		c.fact("Test "+strconv.FormatInt(f.Test.ID, 10), "%s", words)
		tests = append(tests, f.Test)
	}
	c.Links = filmLinks(tests)
	c = shortened(c)
	testers, err := env.Group.Testers(ctx)
	if err != nil {
		return Card{}, err
	}
	c.Facts = append(c.Facts, testerFacts(testers)...)
	return c, nil
}

var checkedCommand = &Command{
	Name:     checkedName,
	Summary:  "Mark a test as looked at: it stands as it is (trainer)",
	Help:     "Who looked, and when, is kept. How much the test counts does not change.",
	Options:  []Option{testNumber()},
	Plain:    testPlain,
	Who:      knowledge.TrainerRole,
	Examples: []string{"/checked test:27"},
	Run:      runChecked,
}

func runChecked(ctx context.Context, env *Env, req Request) (Card, error) {
	id, err := strconv.ParseInt(req.value(testOption), 10, 64)
	if err != nil {
		return Card{}, err // a whole number: the option was read
	}
	m, err := req.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	if _, err = env.Group.CheckTest(ctx, id, m); errors.Is(err, knowledge.ErrNotFound) {
		return Card{}, refuse("/"+testsName+" lists the tests of a combination with their numbers.", "There is no test %d.", id)
	}
	if err != nil {
		return Card{}, err
	}
	test, err := env.Group.Test(ctx, id)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: test.Combination.String(), Verdict: "Test " + strconv.FormatInt(id, 10) + " is marked as checked."}
	c.fact("The test", "%s", testWords(test))
	return c, nil
}
