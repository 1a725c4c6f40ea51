package commands

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"holdbench/internal/knowledge"
)

const historyName = "record history"

var historyCommand = &Command{
	Name:    historyName,
	Summary: "What was done to the log: by whom, when and why; your own part, or all of it for the trainer",
	Help: "Every test logged, withdrawn, restored, corrected or checked, every set-up looked at, and every change of " +
		"the gels, the needles and the settings, the latest first. A test's number or a gel narrows it.",
	Options: []Option{
		{Name: testOption, Help: "the number of a test", Kind: Whole, Min: 1, Max: 1e9, Suggest: suggestTests("")},
		{Name: productOption, Help: "a gel", Suggest: suggestProducts},
		pageNumber(),
	},
	Who:      anyMember,
	Quick:    true,
	Admits:   true,
	Examples: []string{"/record history", "/record history test:27", `/record history product:"Orrick Mid"`},
	Run:      runHistory,
}

func runHistory(ctx context.Context, env *Env, call *Call) (Card, error) {
	filter, title, err := historyAsked(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	page := call.whole(pageOption, 1)
	filter.Limit, filter.Skip = mostListed+1, (page-1)*mostListed // one more tells whether there is another page
	changes, err := env.Group.Changes(ctx, filter)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: title}
	if len(changes) == 0 {
		c.Verdict = "Nothing."
	}
	for _, change := range changes[:min(len(changes), mostListed)] {
		c.fact(change.At.In(call.now.Location()).Format("2006-01-02 15:04"), "%s", changeWords(change))
	}
	pages := page
	if len(changes) > mostListed {
		pages++
	}
	c.Actions = call.turning(page, pages)
	return c, nil
}

// historyAsked is which changes a call asks for, and what to call them. Members see what they did themselves, and all
// that anybody did to their own tests; the trainer sees everything.
func historyAsked(ctx context.Context, env *Env, call *Call) (f knowledge.ChangeFilter, title string, err error) {
	title = "What was done to the log, the latest first"
	if !call.Asker.Role.Covers(knowledge.TrainerRole) {
		f.MemberID = call.by.ID
		title = "What you did to the log, the latest first"
	}
	if id, given := call.number(testOption); given {
		test, err := env.test(ctx, int64(id))
		if err != nil {
			return f, "", err
		}
		if test.Tester.ID == call.by.ID {
			f.MemberID = 0
		}
		f.TestID, title = test.ID, fmt.Sprintf("Test %d: %s", test.ID, test.Combination)
	}
	if call.value(productOption) != "" {
		product, err := productAsked(call)
		if err != nil {
			return f, "", err
		}
		f.ProductID = product.ID
		title += ": " + product.Name
	}
	return f, title, nil
}

// changeWords is one change in a line.
func changeWords(change knowledge.LogChange) string {
	return changeSaid(change, " by "+change.By.Name)
}

// changeSaid is a change in a line; by says who made it, "" to leave that out.
func changeSaid(change knowledge.LogChange, by string) string {
	test, reason := "", strings.TrimSpace(change.Reason)
	if change.TestID != 0 {
		test = "test " + strconv.FormatInt(change.TestID, 10)
	}
	if reason != "" {
		reason = "reason: " + reason
	}
	what := joinNonEmpty(" ", joinNonEmpty(", ", test, change.Product, change.Tool), string(change.Action)+by)
	return joinNonEmpty("; ", joinNonEmpty(": ", what, joinNonEmpty(" → ", change.Before, change.After)), reason)
}
