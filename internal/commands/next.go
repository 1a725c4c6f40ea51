package commands

import (
	"errors"
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

// afterLogging is what one may want to do about a test that was just stored.
func afterLogging(t knowledge.BenchTest) []Action {
	number := map[string]string{testOption: strconv.FormatInt(t.ID, 10)}
	return []Action{
		{Label: "take it back", Request: Request{Command: withdrawName, Values: number}, Tap: true},
		{Label: "log another", Request: about(logName, t.Combination), Tap: true},
		{Label: "the hold now", Request: about(holdName, t.Combination), Tap: true},
	}
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
