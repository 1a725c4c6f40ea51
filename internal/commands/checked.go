package commands

import (
	"context"
	"fmt"

	"holdbench/internal/knowledge"
)

const checkedName = "trainer checked"

var checkedCommand = &Command{
	Name:    checkedName,
	Summary: "Mark a test, or a set-up that is unlike the others, as looked at: it stays as it is (trainer)",
	Help: "The log keeps who looked, and when. A test counts as much as before. " +
		"A set-up that was looked at may get a hold again, until its next test.",
	Free:     true,
	FreeHelp: "the set-up, as in: orrick mid 30G 13 mm",
	Options:  combinationOptions(maybeTestNumber()),
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{"/trainer checked test:27", "/trainer checked orrick mid 30G 13 mm"},
	Plain:    testPlain,
	Run:      runChecked,
}

// maybeTestNumber is the number of a test where a set-up may be named instead.
func maybeTestNumber() Option {
	test := testNumber(suggestFlagged)
	test.Required = false
	return test
}

func runChecked(ctx context.Context, env *Env, call *Call) (Card, error) {
	if id, given := call.number(testOption); given {
		return checkTest(ctx, env, call, int64(id))
	}
	if questionText(call) == "" {
		return Card{}, refuse("Write for example: "+call.example()+", or "+call.cmd.Examples[1]+".",
			"Which test, or which set-up?")
	}
	return lookAtSetup(ctx, env, call)
}

func checkTest(ctx context.Context, env *Env, call *Call, id int64) (Card, error) {
	test, err := env.test(ctx, id)
	if err != nil {
		return Card{}, err
	}
	if _, err := env.Group.CheckTest(ctx, id, call.by); err != nil {
		return Card{}, err
	}
	c := Card{Title: test.Combination.String(), Verdict: fmt.Sprintf("Test %d is marked as checked.", id)}
	c.fact("The test", "%s", testWords(test))
	return c, nil
}

// lookAtSetup notes that the trainer has looked at a set-up, and shows what the group knows of it now.
func lookAtSetup(ctx context.Context, env *Env, call *Call) (Card, error) {
	_, e, err := evidenceAsked(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	if !e.Tested {
		return Card{}, refuse("Only a tested set-up can be looked at.", "Nobody has tested %s.", e.Combination)
	}
	if _, err := env.Group.LookAtSetup(ctx, e.Combination, call.by); err != nil {
		return Card{}, err
	}
	if e, err = env.Group.Evidence(ctx, e.Combination, e.Pull); err != nil {
		return Card{}, err
	}
	c := Card{Title: setupTitle(e), Verdict: "Looked at: it is as logged. That counts until its next test."}
	c.sayNow(e)
	c.fact("Tests", "%s", testsLine(e))
	return c, nil
}
