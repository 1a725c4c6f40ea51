package commands

import (
	"errors"
	"fmt"
	"strconv"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// afterAsking is what one may want to do next about a combination.
func afterAsking(c trade.Combination) []Action {
	return []Action{
		{Label: "log a test of it", Request: about(logName, c), Tap: true},
		{Label: "compare needles", Request: about(compareName, c), Tap: true},
	}
}

// askNext is what one may want to do next about a hold: what most do, which leaves a
// phone's row of buttons room for the caveats and for showing it, and the rest.
func askNext(e *knowledge.Evidence) (first, rest []Action) {
	take := Action{Label: "I'll test this", Request: about(takeName, e.Combination), Tap: true}
	next := afterAsking(e.Combination)
	first, rest = []Action{take, next[0]}, []Action{
		{Label: "the picture", Request: about(pictureName, e.Combination), Tap: true}, next[1],
		{Label: "what sets the pace", Request: about(whyName, e.Combination), Tap: true},
	}
	if e.Tested {
		first[0] = Action{Label: "the tests", Request: about(testsName, e.Combination)}
	}
	if e.Tested && knowledge.TestsMayMend(e.State) {
		rest = append(rest, take)
	}
	return first, rest
}

// moreCard has what stands behind the button "more" of a hold.
func moreCard(e *knowledge.Evidence) Card {
	_, rest := askNext(e)
	return Card{Title: setupTitle(e), Verdict: "What else can be asked about it:", Actions: rest, Bare: true}
}

// afterLogging is what one may want to do about tests that were just stored.
func afterLogging(tests []knowledge.BenchTest) []Action {
	var actions []Action
	if len(tests) == 1 {
		actions = correctParts(tests[0])
	}
	for _, t := range tests[:min(len(tests), mostLinks)] {
		label := "take it back"
		if len(tests) > 1 {
			label = fmt.Sprintf("take test %d back", t.ID)
		}
		actions = append(actions, takeBack(t, label))
	}
	return append(actions,
		Action{Label: "log another", Request: about(logName, tests[0].Combination), Tap: true},
		Action{Label: "the hold now", Request: about(holdName, tests[0].Combination), Tap: true})
}

// correctParts opens the form that corrects a test, at what is most often wrong.
func correctParts(t knowledge.BenchTest) []Action {
	var actions []Action
	for _, part := range []string{secondsPart, needlePart} {
		action := onTest(part, correctName, t.ID)
		action.Request.Values[changeOption] = part
		actions = append(actions, action)
	}
	return actions
}

// takeBack withdraws a test.
func takeBack(t knowledge.BenchTest, label string) Action {
	return onTest(label, withdrawName, t.ID)
}

// onTest is a button for what a command does to a test.
func onTest(label, command string, id int64) Action {
	return Action{Label: label, Tap: true,
		Request: Request{Command: command, Values: map[string]string{testOption: strconv.FormatInt(id, 10)}}}
}

// mostLinks is how many films a list leads to: one row of buttons.
const mostLinks = 5

// filmLinks lead to where the latest of some tests can be seen, latest first.
func filmLinks(latest []knowledge.BenchTest) []Link {
	var links []Link
	for _, t := range latest {
		if t.Film.Link != "" && len(links) < mostLinks {
			links = append(links, Link{Label: "film of test " + strconv.FormatInt(t.ID, 10), URL: t.Film.Link})
		}
	}
	return links
}

func isNotFound(err error) bool { return errors.Is(err, knowledge.ErrNotFound) }
