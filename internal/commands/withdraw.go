package commands

import (
	"cmp"
	"context"
	"fmt"
	"regexp"
	"strings"
	"time"

	"holdbench/internal/knowledge"
)

const (
	withdrawName = "record withdraw"
	testOption   = "test"
	reasonOption = "reason"

	takenBack = "taken back by its tester" // the reason where its tester gives none
)

// testNumber is the option for the number of a test.
func testNumber(suggest Suggester) Option {
	return Option{Name: testOption, Help: "its number, as the confirmation gave it", Kind: Whole, Min: 1, Max: 1e9,
		Required: true, Suggest: suggest}
}

// test is the test with a number.
//
// Errors: *UserError where there is none.
func (env *Env) test(ctx context.Context, id int64) (knowledge.BenchTest, error) {
	t, err := env.Group.Test(ctx, id)
	return t, told(err, knowledge.ErrNotFound, "/"+testsName+" lists the tests of a combination with their numbers.",
		"There is no test %d.", id)
}

// testOf is the test that a call names, if the asker may change it: their own, or anybody's for the trainer.
//
// Errors: *UserError where there is none, or the asker may not.
func (c *Call) testOf(ctx context.Context, env *Env) (knowledge.BenchTest, error) {
	t, err := env.test(ctx, int64(c.whole(testOption, 0)))
	if err == nil && t.Tester.ID != c.by.ID && !c.Asker.Role.Covers(knowledge.TrainerRole) {
		err = refuse("The trainer can do it, too.", "Test %d is somebody else's.", t.ID)
	}
	return t, err
}

func reasonText() Option {
	return Option{Name: reasonOption, Help: "why; kept with the test, nothing about a patient", Kept: true}
}

// testInWords is a test's number and, where one is given, the reason.
var testInWords = regexp.MustCompile(`(?i)^(?:test\s+|#\s*)?(\d{1,9})(?:[\s,:;.]+(.*))?$`)

// testPlain reads "27 wrong needle". Options that are given win.
func testPlain(_ context.Context, _ *Env, call *Call) error {
	m := testInWords.FindStringSubmatch(call.text)
	if m == nil {
		return nil // refused like any text that a command does not take
	}
	call.text = ""
	call.take(testOption, m[1])
	call.take(reasonOption, m[2])
	return nil
}

var withdrawCommand = &Command{
	Name:    withdrawName,
	Summary: "Take a test back, so that it no longer counts; it stays on record",
	Help: "Your own tests; anybody's for the trainer. Nothing is erased: the history keeps who withdrew it, when and " +
		"why, and /" + restoreName + " brings it back.",
	Options:  []Option{testNumber(suggestTests(knowledge.Kept)), reasonText()},
	Who:      anyMember,
	Admits:   true,
	Plain:    testPlain,
	Examples: []string{`/record withdraw test:27 reason:"wrong needle"`},
	Run: func(ctx context.Context, env *Env, call *Call) (Card, error) {
		return changeTest(ctx, env, call, stateChange{
			usual: takenBack, done: "Test %d no longer counts; it stays on record.",
			to: knowledge.Withdrawn, before: "Test %d was taken back before; it stays on record.",
			back: toAsk("put it back", restoreName), change: env.Group.WithdrawTest,
		})
	},
}

// stateChange is the withdrawing or the restoring of a test.
type stateChange struct {
	to     knowledge.State
	usual  string // the reason, where testers give none for a test of their own
	done   string // the verdict afterwards, with %d for the number
	before string // the verdict where the test was in that state already, with %d for the number
	back   Action // the way back, without the number
	change func(ctx context.Context, id int64, by knowledge.Member, reason string) (knowledge.BenchTest, error)
}

func changeTest(ctx context.Context, env *Env, call *Call, s stateChange) (Card, error) {
	test, err := call.testOf(ctx, env)
	if err != nil {
		return Card{}, err
	}
	reason := call.value(reasonOption)
	if reason == "" && test.Tester.ID != call.by.ID {
		return Card{}, refuse("Add for example reason:\"wrong needle\".", "Why? It is somebody else's test.")
	}
	if test.State == s.to { // pressed or sent twice
		s.done = s.before
	} else if test, err = s.change(ctx, test.ID, call.by, cmp.Or(reason, s.usual)); err != nil {
		return Card{}, err
	}
	return changedCard(test, afterwards(ctx, env, test.Combination), s, call.now), nil
}

func changedCard(t knowledge.BenchTest, e *knowledge.Evidence, s stateChange, at time.Time) Card {
	c := Card{Title: t.Combination.String(), Verdict: fmt.Sprintf(s.done, t.ID)}
	c.fact("The test", "%s", testWords(t))
	switch {
	case e != nil && !e.Tested:
		c.line("That was the only test of this combination: nobody has tested it now.")
	case e != nil:
		c.fact("The group's tests now", "%s", testsLine(e))
		fallthrough
	default:
		c.sayNow(e)
	}
	c.Stored = Stored{What: fmt.Sprintf("change of test %d", t.ID), How: "was stored: " +
		strings.TrimSuffix(strings.ToLower(c.Verdict), "."), At: at}
	c.Actions = []Action{onTest(s.back.Label, s.back.Request.Command, t.ID)}
	return c
}
