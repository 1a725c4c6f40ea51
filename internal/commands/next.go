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
	return []Action{toAskAbout("log a test of it", logName, c), toAskAbout("compare needles", compareName, c)}
}

// askNext is what one may want to do next about a hold. first is what most people do: few enough that a phone's row of
// buttons also has room for the caveats and for showing the answer. rest is the others.
func askNext(e *knowledge.Evidence) (first, rest []Action) {
	take := toAskAbout("I'll test this", takeName, e.Combination)
	next := afterAsking(e.Combination)
	first, rest = []Action{take, next[0]}, []Action{toAskAbout("the picture", pictureName, e.Combination), next[1],
		toAskAbout("what sets the pace", whyName, e.Combination)}
	if e.Tested {
		first[0] = Action{Label: "the tests", Request: about(testsName, e.Combination)}
	}
	if e.Tested && knowledge.TestsMayMend(e.State) {
		rest = append(rest, take)
	}
	return first, rest
}

// moreCard is what the button "more" of a hold opens.
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
	return append(actions, toAskAbout("log another", logName, tests[0].Combination),
		toAskAbout("the hold now", holdName, tests[0].Combination))
}

// correctParts are buttons for what is most often wrong in a test: each opens the form that corrects it.
func correctParts(t knowledge.BenchTest) []Action {
	var actions []Action
	for _, part := range []string{secondsPart, needlePart} {
		actions = append(actions, onTest(part, correctName, t.ID).with(changeOption, part))
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
		Request: Request{Command: command}.with(testOption, strconv.FormatInt(id, 10))}
}

// mostLinks is how many films a list links to: one row of buttons.
const mostLinks = 5

// filmLinks link to the films of the latest tests, the latest first.
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
