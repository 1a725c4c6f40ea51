package commands

import (
	"fmt"
	"math"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// testsLine is what the tests showed: by the hold where there is one, so that it can be checked against them, else by
// the ceiling.
func testsLine(e *knowledge.Evidence) string {
	n, by := e.Counts, e.Ceiling
	if hold := holdSeconds(e); hold != nil {
		by = calc.Seconds(*hold)
	}
	shown, later := 0, 0
	for t := range e.Tests.All() {
		switch {
		case t.None:
		case t.Seconds <= float64(by):
			shown++
		default:
			later++
		}
	}
	text := fmt.Sprintf("%d of %d shown by %s", shown, n.Run, exactSeconds(float64(by)))
	if least, most := pulls(e.Tests); least != most {
		text += ", all pulls"
	}
	if later > 0 {
		text += fmt.Sprintf(", %d later", later)
	}
	if n.None > 0 {
		text += fmt.Sprintf(", %d none", n.None)
	}
	if shown+later > 0 && e.State != calc.StateHold {
		text += ", longest " + exactSeconds(n.Longest)
	}
	return text
}

// ownTests says what the asker's own tests of a combination showed, "" for none. Many people first trust what they
// timed themselves.
func ownTests(tests knowledge.TestList, ref string) string {
	run, shown, longest := 0, 0, 0.0
	for t := range tests.All() {
		if t.TesterRef != ref {
			continue
		}
		run++
		if !t.None {
			shown, longest = shown+1, max(longest, t.Told)
		}
	}
	words, by := count(run, "test")+", ", "shown by "+exactSeconds(longest)
	switch {
	case run == 0:
		return ""
	case shown == 0:
		return words + "none shown"
	case shown == run && run == 1:
		return words + by
	case shown == run:
		return words + "all " + by
	}
	return fmt.Sprintf("%s%d %s, %d none", words, shown, by, run-shown)
}

// oldTests says when the tests were made where the latest is older than a year, else "".
func oldTests(tests knowledge.TestList, today string) string {
	first, last := tests.Days()
	now, err := time.Parse(dateForm, today)
	if err != nil || last == "" || last >= now.AddDate(-1, 0, 0).Format(dateForm) {
		return ""
	}
	if first == last {
		return "Tested on " + last + ", and not since."
	}
	return "Tested from " + first + " to " + last + ", and not since."
}

// pulls is the smallest and the largest pull of the tests, mL.
func pulls(tests knowledge.TestList) (least, most float64) {
	least = math.Inf(1)
	for t := range tests.All() {
		least, most = min(least, t.PullML), max(most, t.PullML)
	}
	return min(least, most), most
}

// mostFew is the largest number of tests that count as few for fewTests: with more, less than about 1 in 10 could still
// turn out differently.
const mostFew = 20

// fewTests says what a small number of tests that all ended the same way leaves open, "" where it does not apply.
func fewTests(e *knowledge.Evidence) string {
	n := e.Counts
	if n.Run > mostFew || n.TooShort > 0 {
		return ""
	}
	share, err := calc.CouldStillFail(n.Run, 0.95)
	if err != nil {
		return "" // no tests at all
	}
	rest := shareWords(share)
	switch {
	case n.Run == 1:
		return "One test only; the next may differ."
	case n.ShownByCeiling == n.Run:
		return fmt.Sprintf("With %d tests, all shown, up to %s of the rest could still fail to show.", n.Run, rest)
	case n.None == n.Run:
		return fmt.Sprintf("With %d tests, none shown, up to %s of the rest could still show.", n.Run, rest)
	}
	return ""
}

// settleLine says how many more tests would likely settle the verdict.
func settleLine(e *knowledge.Evidence) string {
	more, ok := e.Forecast.MoreTests(e.Ceiling)
	if !ok {
		return "More tests will not decide this."
	}
	return fmt.Sprintf("About %s would likely settle it.", count(more, "more test"))
}

// typedWords is the outcome as its tester gave it: a stopwatch's seconds keep every digit that was typed.
func typedWords(t knowledge.BenchTest) string {
	if t.Outcome == knowledge.Flashback && t.Timing == usualTiming {
		return exactSeconds(t.Seconds)
	}
	return resultWords(t)
}

// resultWords is the outcome of a test: none, or the seconds with as many digits as their timing supports.
func resultWords(t knowledge.BenchTest) string {
	if t.Outcome == knowledge.None {
		return "none in " + trimNumber(t.WatchedS) + " s"
	}
	return exactSeconds(t.Told())
}
