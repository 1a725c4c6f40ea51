package commands

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"holdbench/internal/knowledge"
)

// batchCard says label by label what was logged, and what was not and why.
func batchCard(ctx context.Context, env *Env, call *Call, b batch, outcomes []knowledge.BoxOutcome) Card {
	var labels []int
	var logged []knowledge.BenchTest
	of, before := map[int][]knowledge.BoxOutcome{}, map[int][]knowledge.BenchTest{}
	for _, o := range outcomes {
		switch {
		case len(o.Earlier) > 0:
			before[o.Number] = o.Earlier
		case o.Problem != nil:
			b.stays = b.stays || o.Item.ID != 0
			b.faults = append(b.faults, batchFault(o))
		default:
			logged = append(logged, o.Test)
			if of[o.Number] == nil {
				labels = append(labels, o.Number)
			}
			of[o.Number] = append(of[o.Number], o)
		}
	}
	c := Card{Title: "Bench session: " + count(len(logged), "test") + " logged", Stored: storedTests(call.now, logged)}
	switch {
	case len(logged) > 0:
	case len(b.faults) == 0 && len(before) > 0:
		c.Title = "All of that is logged already; nothing was stored again."
	default:
		c.Title, c.Refused = "Nothing was logged.", true
	}
	for _, number := range labels {
		c.fact(boxLabelOf(number), "%s", batchRow(ctx, env, of[number]))
	}
	for _, number := range slices.Sorted(maps.Keys(before)) {
		c.fact(boxLabelOf(number), "logged already, not again: %s", resultsOf(before[number]))
	}
	c = shortened(c)
	if len(logged) > 0 && len(b.assumed) > 0 {
		c.fact("Assumed", "%s", strings.Join(b.assumed, ", "))
	}
	b.sayLeft(&c)
	return c
}

// sayLeft says what was not logged and why, with buttons for the rest.
func (b batch) sayLeft(c *Card) {
	for _, fault := range b.faults[:min(len(b.faults), mostListed)] {
		c.warn("%s", fault)
	}
	if b.stays {
		c.line("What is named below stays in the box: send it again, put right.")
	}
	if len(b.empty) > 0 {
		c.line("Without a result, still in the box: %s.", strings.Join(b.empty, ", "))
	}
	c.Actions = []Action{way("what waits", boxName)}
	if b.stays || len(b.empty) > 0 {
		c.Actions = append(c.Actions, Action{Label: "log the rest", Request: Request{Command: batchName}, Tap: true})
	}
}

func batchFault(o knowledge.BoxOutcome) string {
	label := boxLabelOf(o.Number)
	if o.Problem.Field == label {
		return label + ": " + o.Problem.Problem + "."
	}
	return label + ": " + sentence(o.Problem.Error())
}

// resultsOf is what tests came to: "3.4 s (test 145), none in 30 s (test 146)".
func resultsOf(tests []knowledge.BenchTest) string {
	var words []string
	for _, t := range tests {
		words = append(words, fmt.Sprintf("%s (test %d)", typedWords(t), t.ID))
	}
	return strings.Join(words, ", ")
}

// batchRow is what was logged of one syringe, and what the group knows of its combination now.
func batchRow(ctx context.Context, env *Env, outcomes []knowledge.BoxOutcome) string {
	var tests []knowledge.BenchTest
	for _, o := range outcomes {
		tests = append(tests, o.Test)
	}
	c := outcomes[0].Test.Combination
	words := stockWords(c) + ": " + resultsOf(tests) + "; now: "
	e := afterwards(ctx, env, c)
	if e == nil {
		return words + "could not be worked out just now"
	}
	flagged := slices.ContainsFunc(outcomes, func(o knowledge.BoxOutcome) bool {
		return e.Flagged.Has(o.Test.ID)
	})
	words += headline(e)
	if flagged {
		words += "; " + oneOrMore(len(tests), "it", "one of them") + " does not fit the others, please look once more"
	}
	return words
}
