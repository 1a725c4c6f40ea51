package commands

import (
	"context"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"holdbench/internal/knowledge"
)

const (
	correctName  = "record correct"
	changeOption = "change"
)

var correctCommand = &Command{
	Name:    correctName,
	Summary: "Correct a test: the seconds, pull, day, needle or gel; the old one stays on record",
	Help: "Say what changes as you would log it: 7.31 s, none in 30 s, pull 0.2, yesterday, 30G 8 mm, tamsel soft. " +
		"What you do not say stays. It shows before and after and asks once. Your own tests, or anybody's for the " +
		"trainer: then whoever made it is told.",
	Options: []Option{
		testNumber(suggestTests(knowledge.Kept)),
		{Name: changeOption, Help: "what changes, as in 7.31 s, or 30G 8 mm, or yesterday", Kept: true},
		{Name: productOption, Help: "the gel, if that changes", Suggest: suggestProducts},
		{Name: instrumentOption, Help: "the needle or cannula, if that changes", Suggest: suggestInstruments},
		{Name: syringeOption, Help: "the syringe, if that changes", Suggest: suggestSyringes},
		reasonText(),
	},
	Who:      anyMember,
	Admits:   true,
	Bearing:  Bearing{Bench: true},
	Plain:    correctPlain,
	Form:     correctForm(),
	Examples: []string{`/record correct test:27 change:"0.5 s"`, "correct last 30G 8 mm"},
	Run:      runCorrect,
}

// toCorrect is a test, by its number or as the asker's last, and what changes about it.
var toCorrect = regexp.MustCompile(`(?i)^(?:(?:my|the)\s+)?(?:test\s+|#\s*)?(\d{1,9}|last|latest)` +
	`(?:\s+(?:one|test))?(?:[\s,:;]+(?:to\s+)?(.*))?$`)

// correctPlain reads "41 7.31 s" and "last 30G". Options go before words.
func correctPlain(ctx context.Context, env *Env, call *Call) error {
	m := toCorrect.FindStringSubmatch(call.text)
	if m == nil {
		return nil // refused as any text that is not taken
	}
	if m[1][0] > '9' {
		test, there, err := latestTest(ctx, env, call.Asker, knowledge.Kept)
		if err != nil {
			return err
		}
		if !there {
			return &questionBack{*short("You have no test to correct.")}
		}
		m[1] = strconv.FormatInt(test.ID, 10)
	}
	call.text, call.Text = "", "" // buttons carry the options, and would say it twice
	call.take(testOption, m[1])
	call.take(changeOption, m[2])
	return nil
}

func runCorrect(ctx context.Context, env *Env, call *Call) (Card, error) {
	old, err := testToCorrect(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	line, replies, err := readChange(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	if err := unsettled(env, call, line); err != nil {
		return Card{}, err
	}
	if len(line.Outcomes) > 1 {
		return Card{}, refuse("Write for example: correct 41 7.31 s.", "A test has one result.")
	}
	test := changed(old, line)
	test.RequestKey = call.Key
	changes := differences(old, test)
	if len(changes) == 0 {
		return Card{}, refuse("Say what changes, as in 7.31 s, pull 0.2, yesterday or 30G 8 mm.",
			"Nothing of that changes test %d: %s.", old.ID, testWords(old))
	}
	if len(replies) == 0 {
		return askToCorrect(ctx, env, call, line, old, test)
	}
	reason := strings.TrimPrefix(call.value(reasonOption)+"; "+line.Note, "; ")
	logged, err := env.Group.CorrectTest(ctx, old.ID, test, call.by, correctedBecause(changes,
		strings.TrimSuffix(reason, "; ")))
	if err != nil {
		return Card{}, err
	}
	env.remember(call.Request, turn{combination: logged.Combination, pullML: logged.PullML, logged: logged.ID})
	return correctedCard(ctx, env, call, old, logged), nil
}

// testToCorrect is the test that a call is about.
//
// Errors: *UserError, and *questionBack where the test was corrected already.
func testToCorrect(ctx context.Context, env *Env, call *Call) (old knowledge.BenchTest, err error) {
	old, err = call.testOf(ctx, env)
	if err != nil || old.State == knowledge.Kept {
		return old, err
	}
	stands, err := env.Group.StandsInFor(ctx, old.ID)
	if isNotFound(err) {
		return old, refuse("/"+restoreName+" makes it count again.", "Test %d was taken back.", old.ID)
	}
	if err != nil {
		return old, err
	}
	c := correctedCard(ctx, env, call, old, stands)
	if len(call.Replies) == 0 { // with a reply it is a yes that was sent twice
		c = Card{Title: fmt.Sprintf("Test %d was corrected: test %d replaces it.", old.ID, stands.ID),
			Refused: true}
		c.fact("Test "+fmt.Sprint(stands.ID), "%s", testWords(stands))
		c.Actions = []Action{CorrectAction(stands), AsBeforeAction(old)}
	}
	return old, &questionBack{c}
}
