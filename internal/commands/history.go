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
	page := call.whole(pageOption, 1)
	filter := knowledge.ChangeFilter{Limit: mostListed + 1, Skip: (page - 1) * mostListed}
	c := Card{Title: "What was done to the log, the latest first"}
	if !call.Asker.Role.Covers(knowledge.TrainerRole) {
		filter.MemberID = call.by.ID
		c.Title = "What you did to the log, the latest first"
	}
	if id, given := call.number(testOption); given {
		filter.TestID = int64(id)
		test, err := env.test(ctx, filter.TestID)
		if err != nil {
			return Card{}, err
		}
		if test.Tester.ID == call.by.ID {
			filter.MemberID = 0 // members see everything done to their own tests, by anybody
		}
		c.Title = fmt.Sprintf("Test %d: %s", test.ID, test.Combination)
	}
	if call.value(productOption) != "" {
		product, err := productAsked(call)
		if err != nil {
			return Card{}, err
		}
		filter.ProductID = product.ID
		c.Title += ": " + product.Name
	}
	changes, err := env.Group.Changes(ctx, filter)
	if err != nil {
		return Card{}, err
	}
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
